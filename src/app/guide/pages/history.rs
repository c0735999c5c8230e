//! A player's sessions over weeks: what is due, each hold's typical time with its limits, and every
//! session with what can be done with it.

use super::super::super::look::{self, LINE, SIDE_TEXT, TEXT};
use super::super::super::page::{panel, side};
use super::super::history::{HoldChart, Line};
use super::super::told;
use super::super::{Guide, widgets};
use super::{Act, framed};
use crate::settings::players::Player;
use crate::words::{afterwards as after, guide as words};
use egui::{Align2, Sense, Shape, Stroke, TextStyle, Ui, WidgetInfo, pos2, vec2};
use std::path::{Path, PathBuf};

/// What is about to be erased, asked once more.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in super::super) enum Erasing {
    /// A session.
    Session(PathBuf),
    /// A player, by id, with the nickname.
    Player(String, String),
}

/// The sessions of the player chosen, or of every player.
pub(super) fn show(guide: &mut Guide, ui: &mut Ui) -> Option<Act> {
    let (_, act) = framed(guide, ui, None, "", |guide, ui| {
        let mut act = whose(guide, ui);
        if guide.clerk.looking() {
            ui.label(words::WORKING);
            return act;
        }
        let Some(history) = &guide.history else { return act };
        panel(ui, after::HISTORY_DUE, true, |ui| {
            if history.due.is_empty() {
                ui.label(after::DUE_FIRST);
            }
            for (id, due) in &history.due {
                if guide.player.is_some() {
                    ui.label(due);
                } else {
                    ui.label(after::due_of(nickname(&guide.people, id), due));
                }
            }
        });
        if let Some(title) = &history.charted
            && guide.player.is_some()
        {
            panel(ui, after::HISTORY_CHART, false, |ui| {
                side(ui, title);
                for chart in &history.charts {
                    draw(ui, chart);
                }
                side(ui, after::HISTORY_CHART_NOTE);
            });
            let together: Vec<PathBuf> = history
                .lines
                .iter()
                .rev()
                .filter(|line| &line.title == title && !line.simulated && line.ending.is_some())
                .map(|line| line.folder.clone())
                .collect();
            if together.len() > 1 && widgets::button(ui, after::HISTORY_TOGETHER).clicked() {
                act = Some(Act::Find(together));
            }
        }
        if guide.player.is_none() {
            beside(guide, ui);
        }
        if history.lines.is_empty() {
            ui.label(after::HISTORY_NONE);
        }
        let mut erase = None;
        let mut over = false;
        let asked = guide.state.erasing.as_ref();
        for (index, line) in history.lines.iter().enumerate() {
            ui.push_id(("session", index), |ui| {
                let name = nickname(&guide.people, &line.player);
                // Among others only the times of who agreed to it.
                let agreed = guide.player.is_some()
                    || line.simulated
                    || guide.people.iter().any(|it| it.id == line.player && it.beside_others);
                let said = session(ui, line, name, agreed, &mut erase);
                act = act.take().or(said);
                // Asked where it was pressed, so that the question is in view.
                if let Some(Erasing::Session(folder)) = asked.filter(|it| it.is(&line.folder)) {
                    act = act.take().or(question(ui, &Erasing::Session(folder.clone()), &mut over));
                }
            });
        }
        for unreadable in &history.unreadable {
            side(ui, unreadable);
        }
        if let Some(player) = &guide.player {
            ui.add_space(look::em_of(ui));
            let asked = asked.filter(|asked| matches!(asked, Erasing::Player(..)));
            if let Some(asked) = asked {
                act = act.or(question(ui, asked, &mut over));
            } else if widgets::button(ui, &after::erase_player(&player.nickname)).clicked() {
                erase = Some(Erasing::Player(player.id.clone(), player.nickname.clone()));
            }
        }
        if over {
            guide.state.erasing = None;
        } else if erase.is_some() {
            guide.state.erasing = erase;
        }
        act
    });
    act
}

/// The players who agreed to it, each with the last whole session; nobody is put first.
fn beside(guide: &Guide, ui: &mut Ui) {
    let Some(history) = &guide.history else { return };
    panel(ui, after::BESIDE_TITLE, false, |ui| {
        let agreed: Vec<&Player> =
            guide.people.iter().filter(|player| player.beside_others).collect();
        if agreed.len() < 2 {
            ui.label(after::BESIDE_NEEDS);
        } else {
            side(ui, after::BESIDE_NOTE);
        }
        for player in agreed {
            let own = |line: &&Line| line.player == player.id && !line.simulated;
            let last = history.lines.iter().filter(own).find(|line| line.whole());
            let times = last.map(typical).unwrap_or_default();
            ui.label(after::beside(&player.nickname, &times));
        }
    });
}

/// The typical times of a session in a line.
fn typical(line: &Line) -> String {
    let times = line.typical.iter();
    let times: Vec<String> =
        times.filter_map(|(name, ms)| ms.map(|ms| after::hold_typical(name, ms))).collect();
    times.join("   \u{b7}   ")
}

/// The players: one of them, or all.
fn whose(guide: &mut Guide, ui: &mut Ui) -> Option<Act> {
    let mut chosen = guide.player.as_ref().map(|player| player.id.clone());
    let names: Vec<(Option<String>, String)> = std::iter::once((None, after::EVERYBODY.to_owned()))
        .chain(guide.people.iter().map(|player| (Some(player.id.clone()), player.nickname.clone())))
        .collect();
    let mut index = names.iter().position(|(id, _)| *id == chosen).unwrap_or(0);
    let cells: Vec<(usize, &str)> =
        names.iter().enumerate().map(|(place, (_, name))| (place, name.as_str())).collect();
    let mut act = None;
    if widgets::cells(ui, after::HISTORY_OF, &cells, &mut index) {
        chosen = names.get(index).and_then(|(id, _)| id.clone());
        guide.player =
            guide.people.iter().find(|player| Some(&player.id) == chosen.as_ref()).cloned();
        guide.look_at_history();
        act = Some(Act::Nothing);
    }
    if let Some(player) = &mut guide.player
        && widgets::tick(ui, after::BESIDE_OTHERS, &mut player.beside_others)
    {
        act = Some(Act::KeepPlayer);
    }
    act
}

/// How a player is called here.
fn nickname<'a>(people: &'a [Player], id: &'a str) -> &'a str {
    people.iter().find(|player| player.id == id).map_or(id, |player| &player.nickname)
}

impl Erasing {
    /// Whether it is the session in this folder.
    fn is(&self, folder: &Path) -> bool {
        matches!(self, Erasing::Session(own) if own == folder)
    }
}

/// Asks once more before anything is gone; `over`: it was answered.
fn question(ui: &mut Ui, erasing: &Erasing, over: &mut bool) -> Option<Act> {
    let mut act = None;
    panel(ui, after::ERASE_TITLE, true, |ui| {
        ui.label(match erasing {
            Erasing::Session(folder) => after::erase_session_text(&folder.display().to_string()),
            Erasing::Player(_, nickname) => after::erase_player_text(nickname),
        });
        ui.horizontal_wrapped(|ui| {
            if widgets::button(ui, after::ERASE_NO).clicked() {
                *over = true;
            }
            if widgets::button(ui, after::ERASE_YES).clicked() {
                *over = true;
                act = Some(match erasing {
                    Erasing::Session(folder) => Act::EraseSession(folder.clone()),
                    Erasing::Player(id, _) => Act::ErasePlayer(id.clone()),
                });
            }
        });
    });
    act
}

/// One session; `times`: whether its typical times are told.
fn session(
    ui: &mut Ui,
    line: &Line,
    name: &str,
    times: bool,
    erase: &mut Option<Erasing>,
) -> Option<Act> {
    let em = look::em_of(ui);
    let mut act = None;
    panel(ui, &after::session_head(&line.day, name, line.simulated), false, |ui| {
        ui.label(&line.title);
        // Of one that can be gone on with they would be a running result.
        if times && !line.can_go_on() && line.typical.iter().any(|(_, ms)| ms.is_some()) {
            side(ui, &typical(line));
        }
        side(ui, told::session_state(line.ending, line.can_go_on()));
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing = vec2(em * 0.5, em * 0.3);
            if line.can_go_on() && widgets::button(ui, after::SESSION_GO_ON).clicked() {
                act = Some(Act::GoOn(line.folder.clone()));
            }
            if widgets::button(ui, after::SESSION_FINDINGS).clicked() {
                act = Some(Act::Find(vec![line.folder.clone()]));
            }
            if widgets::button(ui, after::SHOW_FOLDER).clicked() {
                act = Some(Act::OpenOutside(line.folder.clone()));
            }
            if widgets::button(ui, after::ERASE).clicked() {
                *erase = Some(Erasing::Session(line.folder.clone()));
            }
        });
    });
    act
}

/// One hold over the sessions: its typical times, centre and limits.
fn draw(ui: &mut Ui, hold: &HoldChart) {
    let em = look::em_of(ui);
    ui.label(&hold.name);
    let width = ui.available_width().min(em * 34.0);
    let (rect, response) = ui.allocate_exact_size(vec2(width, em * 7.0), Sense::hover());
    let painter = ui.painter_at(rect);
    painter.rect_filled(rect, 0.0, look::WELL);
    let values = hold.values.iter().map(|(_, ms)| *ms);
    let limits = hold.chart.iter().flat_map(|chart| [chart.low, chart.high]);
    let all: Vec<f64> = values.chain(limits).collect();
    let (low, high) = all
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), ms| (low.min(*ms), high.max(*ms)));
    let (low, high) = (low - 8.0, high + 8.0);
    let font = TextStyle::Small.resolve(ui.style());
    // The days stand below the lowest line.
    let floor = rect.bottom() - em;
    #[expect(clippy::cast_possible_truncation, reason = "a place on a small picture")]
    let y = |ms: f64| floor - ((ms - low) / (high - low)) as f32 * (floor - rect.top());
    let left = rect.left() + em * 4.5;
    if let Some(chart) = &hold.chart {
        for (ms, dashed) in [(chart.low, true), (chart.centre, false), (chart.high, true)] {
            let line = [pos2(left, y(ms)), pos2(rect.right() - em * 0.5, y(ms))];
            let stroke = Stroke::new(1.0, LINE);
            if dashed {
                painter.extend(Shape::dashed_line(&line, stroke, em * 0.4, em * 0.3));
            } else {
                painter.line_segment(line, stroke);
            }
            let at = pos2(left - em * 0.4, y(ms));
            painter.text(at, Align2::RIGHT_CENTER, format!("{ms:.0} ms"), font.clone(), SIDE_TEXT);
        }
    }
    #[expect(clippy::cast_precision_loss, reason = "a handful of sessions")]
    let step = (rect.right() - left - em * 2.0) / (hold.values.len().max(2) - 1) as f32;
    for (place, (day, ms)) in hold.values.iter().enumerate() {
        #[expect(clippy::cast_precision_loss, reason = "a handful of sessions")]
        let at = pos2(left + em + step * place as f32, y(*ms));
        let outside = hold.chart.as_ref().is_some_and(|chart| chart.outside.contains(&place));
        painter.circle_filled(at, em * 0.3, look::accent());
        if outside {
            // A ring besides: what stands out is a shape.
            painter.circle_stroke(at, em * 0.6, Stroke::new(2.0, TEXT));
        }
        if place == 0 || place + 1 == hold.values.len() {
            let align = if place == 0 { Align2::LEFT_BOTTOM } else { Align2::RIGHT_BOTTOM };
            let at = pos2(at.x, rect.bottom() - em * 0.1);
            painter.text(at, align, day, font.clone(), SIDE_TEXT);
        }
    }
    let says = after::chart_says(&hold.name, &hold.values);
    response.widget_info(|| WidgetInfo::labeled(egui::Role::Image, true, &says));
}
