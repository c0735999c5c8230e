//! The protocols that come with the program, built in.

/// A shipped protocol.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shipped {
    /// Its id, as in the file.
    pub id: &'static str,
    /// The file.
    pub text: &'static str,
}

macro_rules! shipped {
    ($($id:literal),* $(,)?) => {
        &[$(Shipped { id: $id, text: include_str!(concat!("../../protocols/", $id, ".toml")) }),*]
    };
}

/// Every shipped protocol, the quickest first.
pub fn shipped() -> &'static [Shipped] {
    shipped![
        "first-look",
        "two-holds",
        "three-holds",
        "choice-by-hold",
        "emergence-by-hold",
        "partner-steps-out",
        "onset-and-click",
        "onset-by-hold",
        "go-no-go-by-hold",
        "four-ways-by-hold",
        "pointing-by-difficulty",
        "emergence-half-covered",
        "steadiness-by-hold",
        "tapping-by-hold",
        "pursuit-by-hold",
        "long-watch",
        "hour-of-blocks",
    ]
}

/// The shipped protocol `id`.
pub fn find(id: &str) -> Option<&'static Shipped> {
    shipped().iter().find(|shipped| shipped.id == id)
}
