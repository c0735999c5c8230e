//! The plan: minutes, minutes under a firm hold, give or take, and whether it can give a clear
//! answer. Moving a slider works it out anew, beside the window.

use super::super::super::look::{self, LINE, SIDE_TEXT, TEXT};
use super::super::super::page::{panel, side};
use super::super::{Guide, widgets};
use super::{Act, framed};
use crate::plan::Outlook;
use crate::protocol;
use crate::words::{self as sentences, guide as words};
use egui::{Align2, Sense, Shape, Stroke, TextStyle, Ui, WidgetInfo, pos2, vec2};

/// Most cycles and trials that the sliders offer; the checker holds the plan to its ceilings.
const MOST_CYCLES: usize = 24;
const TRIALS: std::ops::RangeInclusive<usize> = 6..=40;
/// Least gains that matter, ms.
const CHANGES_MS: [i64; 4] = [3, 5, 10, 15];

/// The plan as it is.
pub(super) fn show(guide: &mut Guide, ui: &mut Ui) -> Option<Act> {
    let sound = guide.faults.is_empty();
    let beside = if sound { words::PLAN_STARTS } else { words::PLAN_FAULTY };
    let label = if guide.state.second_firm_told {
        words::PLAN_START_ALL_THE_SAME
    } else {
        words::PLAN_START
    };
    let (on, act) = framed(guide, ui, Some((label, sound)), beside, |guide, ui| {
        let act = sliders(guide, ui);
        for fault in &guide.faults {
            panel(ui, words::PLAN_FAULT, true, |ui| {
                ui.label(fault);
            });
        }
        if guide.faults.is_empty() {
            times(guide, ui);
            clear_answer(guide, ui);
        }
        side(ui, words::PLAN_DAYS);
        act
    });
    if on { Some(Act::Start) } else { act }
}

fn sliders(guide: &mut Guide, ui: &mut Ui) -> Option<Act> {
    let draft = guide.draft.as_mut()?;
    side(ui, &draft.protocol.title);
    let step = draft.cycles_step().max(1);
    let mut cycles = draft.protocol.design.cycles;
    let most = MOST_CYCLES.max(cycles) / step * step;
    let mut changed = false;
    if widgets::slider(ui, words::PLAN_CYCLES, &mut cycles, step..=most, step) {
        draft.set_cycles(cycles);
        changed = true;
    }
    let mut trials = draft.protocol.design.trials;
    if widgets::slider(ui, words::PLAN_TRIALS, &mut trials, TRIALS, 1) {
        draft.protocol.design.trials = trials;
        changed = true;
    }
    changed |= least_gain(ui, &mut draft.protocol.analysis.smallest_change_ms);
    changed.then_some(Act::Changed)
}

/// The usual least gains, and the plan's own among them.
fn least_gain(ui: &mut Ui, ms: &mut f64) -> bool {
    #[expect(clippy::cast_possible_truncation, reason = "a few ms")]
    let own = ms.round() as i64;
    let mut offered: Vec<i64> = CHANGES_MS.to_vec();
    offered.push(own);
    offered.sort_unstable();
    offered.dedup();
    let names: Vec<String> = offered.iter().map(|ms| words::whole_ms(*ms)).collect();
    let choices: Vec<(i64, &str)> =
        offered.iter().copied().zip(names.iter().map(String::as_str)).collect();
    let mut taken = own;
    let changed = widgets::cells(ui, words::PLAN_MATTERS, &choices, &mut taken);
    if changed {
        *ms = taken as f64;
    }
    changed
}

fn times(guide: &Guide, ui: &mut Ui) {
    let Some(draft) = &guide.draft else { return };
    let takes = protocol::minutes(&draft.protocol);
    panel(ui, words::PLAN_TAKES, false, |ui| {
        ui.label(words::plan_minutes(takes.elapsed, takes.presses));
        bar(ui, takes.elapsed, takes.firm_at_most);
        side(ui, &words::plan_firm(takes.firm_at_most, takes.firm_presses));
        side(ui, &words::plan_waits(takes.mean_wait_ms, takes.empty_waits));
    });
}

/// The whole time as a bar, the most under a firm hold hatched on it.
fn bar(ui: &mut Ui, minutes: f64, firm: f64) {
    let em = look::em_of(ui);
    let width = ui.available_width().min(em * 32.0);
    let (rect, response) = ui.allocate_exact_size(vec2(width, em * 0.9), Sense::hover());
    let painter = ui.painter();
    painter.rect_filled(rect, 0.0, look::RAISED);
    #[expect(clippy::cast_possible_truncation, reason = "a share")]
    let share = (firm / minutes.max(0.1)).clamp(0.0, 1.0) as f32;
    let mut part = rect;
    part.set_width(rect.width() * share);
    let hatch = painter.with_clip_rect(part.intersect(ui.clip_rect()));
    let mut x = rect.left() - rect.height();
    while x < part.right() {
        let line = [pos2(x, rect.bottom()), pos2(x + rect.height(), rect.top())];
        hatch.line_segment(line, Stroke::new(1.5, TEXT));
        x += em * 0.4;
    }
    painter.rect_stroke(rect, 0.0, Stroke::new(1.0, LINE), egui::StrokeKind::Inside);
    let says = words::plan_bar(minutes, firm);
    response.widget_info(|| WidgetInfo::labeled(egui::Role::Image, true, &says));
}

fn clear_answer(guide: &Guide, ui: &mut Ui) {
    let Some(draft) = &guide.draft else { return };
    panel(ui, words::PLAN_CLEAR, true, |ui| {
        let measure = draft.protocol.analysis.measure;
        if !measure.is_of_answer() {
            ui.label(sentences::no_outlook(measure.name()));
            return;
        }
        let Some(outlook) = &guide.outlook else {
            ui.label(words::WORKING);
            return;
        };
        ui.label(words::plan_give(outlook.half_width_ms));
        ten(ui, outlook.clear_share);
        let matters_ms = draft.protocol.analysis.smallest_change_ms;
        scale(ui, outlook, matters_ms);
        ui.label(words::plan_judged(outlook.clear_share, outlook.difference_ms));
        if guide.clerk.planning() {
            side(ui, &words::plan_so_far(outlook.simulations));
        }
        let holds = draft.protocol.conditions.len();
        let p = protocol::attainable_p(&draft.protocol.design, holds);
        side(ui, &sentences::attainable(p, draft.protocol.analysis.confidence));
        side(ui, words::PLAN_CLEAR_NOTE);
    });
}

/// Of ten such sessions, how many would answer clearly: full and empty lozenges.
fn ten(ui: &mut Ui, share: f64) {
    let em = look::em_of(ui);
    let (rect, response) = ui.allocate_exact_size(vec2(em * 16.0, em * 1.6), Sense::hover());
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 10")]
    let full = (share * 10.0).round() as usize;
    for place in 0..10 {
        #[expect(clippy::cast_precision_loss, reason = "0 to 9")]
        let x = rect.left() + em * (0.8 + 1.6 * place as f32);
        let middle = pos2(x, rect.center().y);
        let corners = [(0.0, -0.6), (0.6, 0.0), (0.0, 0.6), (-0.6, 0.0)]
            .map(|(dx, dy)| middle + vec2(dx, dy) * em);
        let fill = if place < full { look::accent() } else { look::PAGE };
        let stroke = Stroke::new(1.0, if place < full { TEXT } else { LINE });
        ui.painter().add(Shape::convex_polygon(corners.to_vec(), fill, stroke));
    }
    let says = words::plan_ten(full);
    response.widget_info(|| WidgetInfo::labeled(egui::Role::Image, true, &says));
    side(ui, &says);
}

/// The interval that such a plan gives about the difference it is judged by, over what matters.
fn scale(ui: &mut Ui, outlook: &Outlook, matters_ms: f64) {
    let em = look::em_of(ui);
    let width = ui.available_width().min(em * 32.0);
    let (rect, response) = ui.allocate_exact_size(vec2(width, em * 3.4), Sense::hover());
    let (low, high) = (
        outlook.difference_ms - outlook.half_width_ms,
        outlook.difference_ms + outlook.half_width_ms,
    );
    let reach = high.max(matters_ms * 2.0).max(-low) * 1.1;
    #[expect(clippy::cast_possible_truncation, reason = "a place on a small picture")]
    let x = |ms: f64| {
        let share = ((ms + reach) / (2.0 * reach)) as f32;
        rect.left() + share * rect.width()
    };
    let painter = ui.painter();
    let y = rect.top() + em * 0.9;
    let band = egui::Rect::from_min_max(
        pos2(x(-matters_ms), rect.top()),
        pos2(x(matters_ms), rect.top() + em * 1.8),
    );
    painter.rect_filled(band, 0.0, look::RAISED);
    painter.vline(x(0.0), rect.top()..=rect.top() + em * 1.8, Stroke::new(1.0, LINE));
    painter.hline(x(low)..=x(high), y, Stroke::new(3.0, TEXT));
    for end in [low, high] {
        painter.vline(x(end), y - em * 0.4..=y + em * 0.4, Stroke::new(2.0, TEXT));
    }
    painter.circle_filled(pos2(x(outlook.difference_ms), y), em * 0.35, look::accent());
    let font = TextStyle::Small.resolve(ui.style());
    let foot = rect.top() + em * 2.0;
    // Where the band is narrow its ends are named outwards, and the middle is left to itself.
    let narrow = x(matters_ms) - x(0.0) < em * 4.0;
    let ends = if narrow {
        [(-matters_ms, Align2::RIGHT_TOP), (matters_ms, Align2::LEFT_TOP)]
    } else {
        [(-matters_ms, Align2::CENTER_TOP), (matters_ms, Align2::CENTER_TOP)]
    };
    let middle = (!narrow).then_some((0.0, Align2::CENTER_TOP));
    for (ms, align) in ends.into_iter().chain(middle) {
        painter.text(pos2(x(ms), foot), align, format!("{ms:.0} ms"), font.clone(), SIDE_TEXT);
    }
    let says = words::plan_scale(outlook.difference_ms, outlook.half_width_ms, matters_ms);
    response.widget_info(|| WidgetInfo::labeled(egui::Role::Image, true, &says));
    side(ui, words::PLAN_SCALE_NOTE);
}
