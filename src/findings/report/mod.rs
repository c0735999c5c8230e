//! The report: one HTML file that stands by itself, plain words in front, the statistician's
//! behind.
//!
//! No script, no outside reference; everything that came from a file is escaped on its way in. It
//! reads well on paper, on a phone and aloud. It works nothing out.

mod back;
mod beside;
mod by_task;
pub mod code;
mod front;
mod hold;
mod page;
mod second;
mod table;

pub use second::text as methods_paragraph;

use super::Findings;
use page::Page;

/// The whole file.
pub fn html(findings: &Findings) -> String {
    let mut page = Page::new(&findings.protocol().title);
    front::banner(&mut page, findings);
    front::answer(&mut page, findings);
    front::differences(&mut page, findings);
    front::course(&mut page, findings);
    beside::course(&mut page, findings);
    front::spread(&mut page, findings);
    beside::what_it_costs(&mut page, findings);
    by_task::section(&mut page, findings);
    beside::from_day_to_day(&mut page, findings);
    beside::from_player_to_player(&mut page, findings);
    hold::section(&mut page, findings);
    front::spoilers(&mut page, findings);
    front::settling(&mut page, findings);
    back::heading(&mut page);
    back::rules(&mut page, findings);
    second::paragraph(&mut page, findings);
    back::pairs(&mut page, findings);
    second::opinions(&mut page, findings);
    second::sessions(&mut page, findings);
    second::players(&mut page, findings);
    back::holds(&mut page, findings);
    second::course(&mut page, findings);
    second::shapes(&mut page, findings);
    back::exclusions(&mut page, findings);
    back::rig(&mut page, findings);
    back::again(&mut page, findings);
    second::programs(&mut page, findings);
    back::cautions(&mut page);
    page.finish()
}

#[cfg(test)]
mod tests {
    use super::page::Page;

    #[test]
    fn whatever_comes_in_is_escaped() {
        let mut page = Page::new("<script>alert(1)</script>");
        page.paragraph("a < b & \"c\"");
        page.table(&["<i>"], &[vec!["<b onload='x'>".to_owned()]]);
        let html = page.finish();
        assert!(!html.contains("<script") && !html.contains("<i>") && !html.contains("<b "));
        assert!(html.contains("a &lt; b &amp; &quot;c&quot;"));
    }
}
