//! The draw list: shapes and texts in pixels from the upper left corner.
//!
//! Plain values, later items over earlier ones. It knows neither a plot nor a painter.

/// A colour, sRGB and opacity, 0 to 255.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Colour {
    /// Red.
    pub r: u8,
    /// Green.
    pub g: u8,
    /// Blue.
    pub b: u8,
    /// Opacity.
    pub a: u8,
}

impl Colour {
    /// An opaque colour from `0xRRGGBB`.
    pub const fn of(rgb: u32) -> Colour {
        let [_, r, g, b] = rgb.to_be_bytes();
        Colour { r, g, b, a: 255 }
    }

    /// The same with this opacity.
    pub const fn faint(self, a: u8) -> Colour {
        Colour { a, ..self }
    }
}

/// A place, px.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Rightwards.
    pub x: f64,
    /// Downwards.
    pub y: f64,
}

/// A point from its coordinates, px.
pub const fn at(x: f64, y: f64) -> Point {
    Point { x, y }
}

/// How an outline is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stroke {
    /// Its colour.
    pub colour: Colour,
    /// Its width, px.
    pub width_px: f64,
    /// Length of dashes and gaps, px; none: a whole line.
    pub dash_px: Option<f64>,
}

/// Where a text stands about its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Align {
    /// It begins there.
    Start,
    /// Its middle is there.
    Middle,
    /// It ends there.
    End,
}

/// How strong a text is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weight {
    /// As the font is.
    Plain,
    /// A little stronger.
    Strong,
}

/// A line of text.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    /// Its point, on the base line.
    pub at: Point,
    /// What it says.
    pub says: String,
    /// Height of the font, px.
    pub size_px: f64,
    /// Where it stands about its point.
    pub align: Align,
    /// How strong it is.
    pub weight: Weight,
    /// Its colour.
    pub colour: Colour,
}

/// One thing to draw.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// A filled rectangle.
    Slab {
        /// Upper left corner.
        at: Point,
        /// Width, px.
        width_px: f64,
        /// Height, px.
        height_px: f64,
        /// Its colour.
        fill: Colour,
    },
    /// A line through points.
    Line {
        /// Two or more.
        points: Vec<Point>,
        /// How it is drawn.
        stroke: Stroke,
    },
    /// A closed shape through points.
    Closed {
        /// Three or more.
        points: Vec<Point>,
        /// Its inside.
        fill: Option<Colour>,
        /// Its edge.
        stroke: Option<Stroke>,
    },
    /// A circle.
    Dot {
        /// Its middle.
        at: Point,
        /// Its radius, px.
        radius_px: f64,
        /// Its inside.
        fill: Option<Colour>,
        /// Its edge.
        stroke: Option<Stroke>,
    },
    /// A line of text.
    Text(Text),
}

/// A whole drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// Width, px.
    pub width_px: u32,
    /// Height, px.
    pub height_px: u32,
    /// What lies under everything; none: whatever it is laid on.
    pub paper: Option<Colour>,
    /// What it shows, for those who cannot see it.
    pub says: String,
    /// What to draw, in order.
    pub items: Vec<Item>,
}

impl Drawing {
    /// An empty drawing.
    pub fn new(width_px: u32, height_px: u32, says: String) -> Drawing {
        Drawing { width_px, height_px, paper: None, says, items: Vec::new() }
    }

    /// A straight line.
    pub fn line(&mut self, from: Point, to: Point, colour: Colour, width_px: f64) {
        let stroke = Stroke { colour, width_px, dash_px: None };
        self.items.push(Item::Line { points: vec![from, to], stroke });
    }

    /// A straight line of dashes.
    pub fn dashed(&mut self, from: Point, to: Point, colour: Colour, width_px: f64) {
        let stroke = Stroke { colour, width_px, dash_px: Some(4.0 * width_px) };
        self.items.push(Item::Line { points: vec![from, to], stroke });
    }

    /// A line of text.
    pub fn text(&mut self, at: Point, says: impl Into<String>, like: &Type) {
        let Type { size_px, align, weight, colour } = *like;
        self.items.push(Item::Text(Text { at, says: says.into(), size_px, align, weight, colour }));
    }
}

/// How a text looks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Type {
    /// Height of the font, px.
    pub size_px: f64,
    /// Where it stands about its point.
    pub align: Align,
    /// How strong it is.
    pub weight: Weight,
    /// Its colour.
    pub colour: Colour,
}

impl Type {
    /// Plain text from its point on.
    pub const fn plain(size_px: f64, colour: Colour) -> Type {
        Type { size_px, align: Align::Start, weight: Weight::Plain, colour }
    }

    /// The same, stronger.
    pub const fn strong(self) -> Type {
        Type { weight: Weight::Strong, ..self }
    }

    /// The same, about its middle.
    pub const fn middle(self) -> Type {
        Type { align: Align::Middle, ..self }
    }

    /// The same, up to its point.
    pub const fn end(self) -> Type {
        Type { align: Align::End, ..self }
    }
}
