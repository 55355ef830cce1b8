//! The list of findings: of this stage or of all, roots with what follows from them underneath.

use super::{View, signs, style};
use crate::findings::{Finding, Severity};
use crate::review::Review;
use crate::viewer::theme::Grade;
use crate::viewer::vocab::{Filter, Intent, Item};
use egui::{RichText, ScrollArea, Sense, Ui, vec2};
use std::collections::{BTreeMap, BTreeSet};

pub fn ui(ui: &mut Ui, view: &View<'_>, out: &mut Vec<Intent>) {
    let state = view.state;
    let filter = state.filter;
    ui.add_space(4.0);
    ui.label(RichText::new("Findings").size(view.text.heading).family(style::strong()));
    ui.horizontal_wrapped(|ui| {
        for (all, words) in [(false, "This stage"), (true, "All stages")] {
            if style::choice(ui, view, filter.all_stages == all, words).clicked() {
                out.push(Intent::Filter(Filter { all_stages: all, ..filter }));
            }
        }
    });
    style::row(ui, false, |ui| {
        ui.label(style::soft(view, "from"));
        for least in [Severity::Note, Severity::Watch, Severity::FixFirst, Severity::Stop] {
            if style::choice(ui, view, filter.least == least, least.words()).clicked() {
                out.push(Intent::Filter(Filter { least, ..filter }));
            }
        }
    });
    ui.add_space(2.0);
    let Some(review) = &state.review else {
        ui.label(style::soft(view, "No scene is open."));
        return;
    };
    let listed = state.listed();
    counts(ui, view, review, &listed);
    ui.separator();
    if listed.is_empty() {
        let whose = if filter.all_stages { "in any stage" } else { "at this stage" };
        ui.label(style::soft(view, format!("Nothing found {whose} at this severity or above.")));
        return;
    }
    let family = family_of(review, state.selection.chosen);
    let followers = followers(review);
    ScrollArea::vertical().auto_shrink([false, false]).show(ui, |ui| {
        let mut skip_below = None;
        for (index, depth) in in_order(review, &listed) {
            if skip_below.is_some_and(|d| depth > d) {
                continue;
            }
            skip_below = None;
            let count = followers.get(&index).copied().unwrap_or(0);
            let open = family == Some(index) || opened(ui, index);
            row(ui, view, index, Row { depth, follows: count, open }, out);
            if !open {
                skip_below = Some(depth);
            }
        }
        ui.add_space(8.0);
    });
}

/// Roots in the review's order, each followed by what hangs under it, with the depth of each.
#[must_use]
pub fn in_order(review: &Review, listed: &[usize]) -> Vec<(usize, usize)> {
    let shown: BTreeSet<usize> = listed.iter().copied().collect();
    let parent = |i: usize| review.findings[i].root.filter(|r| shown.contains(r) && *r != i);
    let mut children: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for &i in listed {
        if let Some(root) = parent(i) {
            children.entry(root).or_default().push(i);
        }
    }
    let mut out = Vec::with_capacity(listed.len());
    let mut done = BTreeSet::new();
    for &i in listed.iter().filter(|&&i| parent(i).is_none()) {
        let mut stack = vec![(i, 0)];
        while let Some((at, depth)) = stack.pop() {
            if done.insert(at) {
                out.push((at, depth));
                stack
                    .extend(children.get(&at).into_iter().flatten().rev().map(|&c| (c, depth + 1)));
            }
        }
    }
    // Findings that name one another as root would otherwise be lost.
    out.extend(listed.iter().filter(|i| !done.contains(i)).map(|&i| (i, 0)));
    out
}

/// How many findings follow from each root.
fn followers(review: &Review) -> BTreeMap<usize, usize> {
    let mut out = BTreeMap::new();
    for root in review.findings.iter().filter_map(|f| f.root) {
        *out.entry(root).or_default() += 1;
    }
    out
}

/// The root whose family the chosen finding belongs to.
fn family_of(review: &Review, chosen: Option<Item>) -> Option<usize> {
    let Some(Item::Finding(i)) = chosen else { return None };
    Some(review.findings.get(i)?.root.unwrap_or(i))
}

fn opened(ui: &Ui, index: usize) -> bool {
    ui.data(|d| d.get_temp(egui::Id::new(("opened", index)))).unwrap_or(false)
}

fn counts(ui: &mut Ui, view: &View<'_>, review: &Review, listed: &[usize]) {
    ui.horizontal_wrapped(|ui| {
        for grade in Grade::ALL {
            let of = |i: &&usize| grade_of(&review.findings[**i]) == grade;
            let count = listed.iter().filter(of).count();
            if count > 0 {
                signs::inline(ui, 15.0, grade, view.palette).on_hover_text(grade.words());
                ui.label(RichText::new(count.to_string()).family(style::strong()));
                ui.label(style::soft(view, grade.words()));
                ui.add_space(4.0);
            }
        }
    });
}

fn grade_of(finding: &Finding) -> Grade {
    Grade::of(finding.severity, finding.unknown)
}

/// How a row stands in the list.
#[derive(Clone, Copy)]
struct Row {
    depth: usize,
    follows: usize,
    open: bool,
}

fn row(ui: &mut Ui, view: &View<'_>, index: usize, row: Row, out: &mut Vec<Intent>) {
    let Some(finding) = view.state.review.as_ref().and_then(|r| r.findings.get(index)) else {
        return;
    };
    let depth = row.depth;
    let item = Item::Finding(index);
    let chosen = view.state.selection.chosen == Some(item);
    let hovered = view.state.selection.hovered == Some(item);
    let palette = view.palette;
    let indent = (depth.min(3) as f32) * 18.0;
    let fill = if chosen {
        palette.panel_deep.mixed(palette.accent, 0.18).egui()
    } else if hovered {
        palette.panel_deep.egui()
    } else {
        egui::Color32::TRANSPARENT
    };
    let frame = egui::Frame::new()
        .fill(fill)
        .corner_radius(5.0)
        .inner_margin(egui::Margin::symmetric(6, 4));
    let inner = ui.horizontal(|ui| {
        ui.add_space(indent);
        frame.show(ui, |ui| {
            ui.set_width(ui.available_width() - 6.0);
            ui.horizontal_top(|ui| {
                let size = if depth == 0 { 18.0 } else { 13.0 };
                signs::inline(ui, size, grade_of(finding), palette);
                ui.vertical(|ui| {
                    ui.spacing_mut().item_spacing.y = 1.0;
                    let text = RichText::new(&finding.headline).size(view.text.body);
                    ui.add(
                        egui::Label::new(if depth == 0 {
                            text.family(style::strong())
                        } else {
                            text
                        })
                        .wrap()
                        .selectable(false),
                    );
                    let line = style::soft(view, sub_line(finding));
                    ui.add(egui::Label::new(line).wrap().selectable(false));
                });
            });
        })
    });
    let rect = inner.response.rect;
    let response = ui.interact(rect, ui.id().with(("finding", index)), Sense::click());
    response.widget_info(|| {
        egui::WidgetInfo::selected(
            egui::WidgetType::SelectableLabel,
            true,
            chosen,
            &finding.headline,
        )
    });
    if chosen {
        let bar = egui::Rect::from_min_size(rect.min + vec2(indent, 0.0), vec2(3.0, rect.height()));
        ui.painter().rect_filled(bar, 1.5, palette.accent.egui());
    }
    if response.clicked() {
        out.push(Intent::Choose(Some(item)));
        out.push(Intent::LookAt(item));
    }
    if row.follows > 0 {
        let sign = if row.open { "⏷" } else { "⏵" };
        let text = format!(
            "{sign} {} more {} from it",
            row.follows,
            if row.follows == 1 { "follows" } else { "follow" }
        );
        let fold = ui.horizontal(|ui| {
            ui.add_space(indent + 32.0);
            ui.add(egui::Button::new(style::soft(view, text)).frame(false))
        });
        if fold.inner.clicked() {
            ui.data_mut(|d| d.insert_temp(egui::Id::new(("opened", index)), !row.open));
        }
    }
    if response.hovered() && !hovered {
        out.push(Intent::Hover(Some(item)));
    } else if !response.hovered() && hovered {
        out.push(Intent::Hover(None));
    }
}

/// Code, stages at which it stands, and the step that ends it.
fn sub_line(finding: &Finding) -> String {
    let from = finding.from_stage;
    let mut text = format!("{} · stage {from}", finding.code);
    match &finding.cured_by {
        Some(step) => text.push_str(&format!(" to {}, until {step}", finding.last_stage)),
        None if finding.last_stage > finding.from_stage => text.push_str(" to the end"),
        None => {}
    }
    if finding.accepted.is_some() {
        text.push_str(" · accepted");
    }
    text
}
