//! What the mechanics says of a stage, as numbers against their limits.

use super::{View, measures, style};
use crate::findings::{Dimension, Measure};
use crate::mechanics::{StageMechanics, Verdict};
use crate::review::Review;
use crate::viewer::theme::Grade;
use egui::{RichText, Ui};

pub fn ui(ui: &mut Ui, view: &View<'_>, review: &Review, m: &StageMechanics) {
    let palette = view.palette;
    let line = |ui: &mut Ui, grade: Option<Grade>, text: String| {
        ui.horizontal_top(|ui| {
            match grade {
                Some(grade) => {
                    super::signs::inline(ui, 15.0, grade, palette);
                }
                None => {
                    ui.label(RichText::new("✔").color(palette.step.egui()));
                }
            }
            ui.add(egui::Label::new(text).wrap());
        });
    };
    match (&m.mechanisms_certain, m.mechanisms.len()) {
        (Verdict::Unknown(why), _) => {
            line(
                ui,
                Some(Grade::Unknown),
                format!("Whether anything moves freely is unknown: {why}"),
            );
        }
        (_, 0) => line(ui, None, "Nothing moves freely.".to_owned()),
        (_, n) => {
            let members: usize = m.mechanisms.iter().map(|m| m.members.len()).sum();
            line(
                ui,
                Some(Grade::Stop),
                format!("{} of {} can move freely.", words(n, "set"), words(members, "member")),
            );
        }
    }
    // What moves freely has no factor and no push of its own: the numbers below are the rest's, and
    // no tick may be read as the whole's.
    let loose = !m.mechanisms.is_empty();
    if loose {
        let text = "The rest, as if what moves were held:";
        ui.label(RichText::new(text).family(style::strong()));
    }
    match (&m.critical, m.lowest_factor) {
        (Verdict::Unknown(why), _) => {
            line(ui, Some(Grade::Unknown), format!("Critical load factor unknown: {why}"));
        }
        (_, Some(factor)) => measures::bar(
            ui,
            view,
            &Measure {
                what: "Critical load factor".to_owned(),
                measured: factor,
                limit: Some(m.required_factor),
                at_least: true,
                dimension: Dimension::Ratio,
            },
        ),
        (Verdict::Met, None) => {
            let required = view.state.units.ratio(m.required_factor);
            line(ui, None, format!("Critical load factor proven to be at least {required}."));
            if let Some(known) = view.state.factors.get(&view.state.stage) {
                use crate::review::Known;
                let ratio = |v: &f64| view.state.units.ratio(*v);
                let text = match known {
                    Known::Exactly(v) => format!("Worked out for this stage: {}.", ratio(v)),
                    Known::AtLeast(v) => format!("Worked out for this stage: above {}.", ratio(v)),
                    Known::Below(v) => format!("Worked out for this stage: below {}.", ratio(v)),
                    Known::Unknown(why) => format!("The actual factor is unknown: {why}"),
                    Known::Nothing => String::new(),
                };
                ui.label(style::soft(view, text));
            }
        }
        (Verdict::NotMet, None) => {
            let required = view.state.units.ratio(m.required_factor);
            line(ui, Some(Grade::Stop), format!("Critical load factor below {required}."));
        }
    }
    match &m.lateral {
        Verdict::Unknown(why) => {
            line(
                ui,
                Some(Grade::Unknown),
                format!("Whether wind or notional lateral tips it is unknown: {why}"),
            );
        }
        Verdict::Met => {
            line(
                ui,
                None,
                "Does not go over under notional lateral and wind, any way. Sliding is told apart."
                    .to_owned(),
            );
        }
        Verdict::NotMet => {
            for over in m.overturned.iter().take(3) {
                let share = view.state.units.ratio(over.factor);
                line(ui, Some(Grade::Stop), format!("Goes over at {share} of {}.", over.case));
            }
            if m.overturned.is_empty() {
                line(ui, Some(Grade::Stop), "Goes over under notional lateral or wind.".to_owned());
            }
        }
    }
    match (&m.push, &m.least_push) {
        (Verdict::Unknown(why), _) => {
            line(ui, Some(Grade::Unknown), format!("Least push unknown: {why}"));
        }
        (Verdict::Met, Some(push)) if push.force == f64::INFINITY => {
            line(ui, None, "No push at a head topples it.".to_owned());
        }
        (_, Some(push)) => {
            let at = review.assembly.name(push.post);
            let word = if push.exact { "Least push" } else { "Least push, proven lower bound" };
            measures::bar(
                ui,
                view,
                &Measure {
                    what: format!("{word}, at the head of {at}"),
                    measured: push.force,
                    limit: Some(m.required_push),
                    at_least: true,
                    dimension: Dimension::Force,
                },
            );
        }
        (Verdict::Met, None) => {
            let required = view.state.units.force(m.required_push);
            line(ui, None, format!("Every head stands a push of {required} each way."));
        }
        (Verdict::NotMet, None) => {
            let required = view.state.units.force(m.required_push);
            line(ui, Some(Grade::Stop), format!("Some head gives way to a push of {required}."));
        }
    }
    for (post, why) in m.not_modelled.iter().take(6) {
        line(
            ui,
            Some(Grade::Unknown),
            format!("{} could not be modelled: {why}", review.assembly.name(*post)),
        );
    }
    for (foot, case) in m.lifting_feet.iter().take(6) {
        ui.label(style::soft(view, format!("{} lifts under {case}", review.assembly.name(*foot))));
    }
}

fn words(count: usize, thing: &str) -> String {
    if count == 1 { format!("1 {thing}") } else { format!("{count} {thing}s") }
}
