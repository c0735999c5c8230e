//! How the untimed screens look: greys, one accent, and sizes that follow the window.
//!
//! Dark neutral grey: far enough from the field's mid-grey to be told apart at a glance (and at a
//! corner pixel), and nearer to it in luminance than a light page, so that the change from field to
//! screen is small. The one accent is the target's own colour. Whatever colour says, a shape or a
//! word says too.

use crate::scene::TARGET_RGB;
use egui::{Color32, CornerRadius, FontFamily, FontId, Stroke, TextStyle, Ui, vec2};

/// The page.
pub const PAGE: Color32 = Color32::from_gray(40);
/// A panel on the page.
pub(super) const PANEL: Color32 = Color32::from_gray(52);
/// What the pointer is on, and what has the focus (with its ring).
pub(super) const RAISED: Color32 = Color32::from_gray(66);
/// Where text is typed in.
pub(super) const WELL: Color32 = Color32::from_gray(30);
/// Text: 11:1 on the page.
pub(super) const TEXT: Color32 = Color32::from_gray(225);
/// Side text: 7:1 on the page.
pub(super) const SIDE_TEXT: Color32 = Color32::from_gray(180);
/// Outlines: 4:1 on the page.
pub(super) const LINE: Color32 = Color32::from_gray(130);
/// The ring around what Enter would take, and text on the accent.
pub(super) const RING: Color32 = Color32::WHITE;

/// The accent: Okabe-Ito blue.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 1, times 255")]
pub(super) fn accent() -> Color32 {
    let [r, g, b] = TARGET_RGB.map(|part| (part * 255.0).round() as u8);
    Color32::from_rgb(r, g, b)
}

/// Where a hand presses, in drawings: Okabe-Ito orange.
pub(super) const fn pressure() -> Color32 {
    Color32::from_rgb(230, 159, 0)
}

/// Size of the text in points, for a window so many points high: small windows and large scales get
/// 13 points, a desktop 17 to 20, a very large one more.
pub(super) fn em(height_points: f32) -> f32 {
    (9.5 + height_points / 100.0).clamp(13.0, 40.0)
}

/// Longest line, in em.
pub(super) const COLUMN_EM: f32 = 44.0;
/// Margin of the page, in em.
pub(super) const MARGIN_EM: f32 = 1.4;

/// Where the wished size of the text is kept between frames.
fn text_scale_id() -> egui::Id {
    egui::Id::unique("text scale")
}

/// Sets how large text is on every screen, as a multiple of its usual size.
pub(super) fn set_text_scale(ui: &Ui, scale: f32) {
    ui.data_mut(|data| data.insert_temp(text_scale_id(), scale));
}

/// Where the wish for less motion is kept between frames.
fn reduced_motion_id() -> egui::Id {
    egui::Id::unique("reduced motion")
}

/// Sets whether bars and a blinking cursor are left out.
pub(super) fn set_reduced_motion(ui: &Ui, reduced: bool) {
    ui.data_mut(|data| data.insert_temp(reduced_motion_id(), reduced));
}

/// Whether bars and a blinking cursor are left out.
pub(super) fn reduced_motion(ui: &Ui) -> bool {
    ui.data(|data| data.get_temp(reduced_motion_id())).unwrap_or(false)
}

/// Nothing has the focus any more.
pub(super) fn let_focus_go(ui: &Ui) {
    ui.memory_mut(|memory| {
        if let Some(focused) = memory.focused() {
            memory.surrender_focus(focused);
        }
    });
}

/// Gives egui's focus to what the screen has marked, so that a screen reader speaks it. The keys of
/// a session's screens are their own; the mark leads, and the focus follows it.
pub(super) fn follow(response: &egui::Response) {
    if !response.has_focus() {
        response.request_focus();
    }
}

/// Sets style and sizes of `ui` for its window.
pub(super) fn apply(ui: &mut Ui) {
    let scale = ui.data(|data| data.get_temp(text_scale_id())).unwrap_or(1.0_f32);
    let em = em(ui.max_rect().height()) * scale;
    let still = reduced_motion(ui);
    let style = ui.style_mut();
    style.visuals.text_cursor.blink = !still;
    let font = |scale: f32| FontId::new(em * scale, FontFamily::Proportional);
    style.text_styles = [
        (TextStyle::Small, font(0.85)),
        (TextStyle::Body, font(1.0)),
        (TextStyle::Button, font(1.0)),
        (TextStyle::Monospace, FontId::new(em * 0.9, FontFamily::Monospace)),
        (TextStyle::Heading, font(1.65)),
    ]
    .into();
    style.animation_time = 0.0;
    style.scroll_animation = egui::style::ScrollAnimation::none();
    style.interaction.selectable_labels = false;
    style.spacing.item_spacing = vec2(em * 0.6, em * 0.5);
    style.spacing.scroll = egui::style::ScrollStyle::solid();
    #[cfg(debug_assertions)]
    {
        // egui's own drawing aids, which would stand on the player's screen.
        style.debug.show_unaligned = false;
    }
    let visuals = &mut style.visuals;
    visuals.dark_mode = true;
    visuals.panel_fill = PAGE;
    // The track of a scroll bar, and below its handle.
    visuals.extreme_bg_color = PANEL;
    visuals.override_text_color = Some(TEXT);
    for widget in [
        &mut visuals.widgets.noninteractive,
        &mut visuals.widgets.inactive,
        &mut visuals.widgets.hovered,
        &mut visuals.widgets.active,
    ] {
        widget.corner_radius = CornerRadius::ZERO;
        widget.bg_stroke = Stroke::new(1.0, LINE);
        widget.bg_fill = LINE;
    }
}

/// The em of `ui`, points.
pub(super) fn em_of(ui: &Ui) -> f32 {
    TextStyle::Body.resolve(ui.style()).size
}
