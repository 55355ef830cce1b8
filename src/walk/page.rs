//! The walk as a page for a projector: big type, high contrast, one station to a screen. Space and
//! Page Down, which is what a clicker sends, go on by one. On paper it prints as a list to tick.

use super::stations::{Station, Walk};
use super::text::{kind, tick};
use crate::permit::{Ring, plan};
use crate::report::markup::Markup;
use crate::review::Review;

const STYLE: &str = "\
html { scroll-snap-type: y mandatory }
body { margin: 0; background: #000; color: #fff; font: 3.2vh/1.35 sans-serif }
section { min-height: 100vh; box-sizing: border-box; padding: 5vh 6vw; scroll-snap-align: start; border-bottom: 1px solid #fff }
h1 { font-size: 6vh; margin: 0 0 2vh }
h2 { font-size: 5vh; margin: 0 0 2vh }
.kind { font-size: 4vh; font-weight: bold; border: 0.4vh solid #fff; padding: 0.5vh 1.5vw; display: inline-block }
.known, .id { font-size: 2.4vh; color: #ddd }
.box { font-size: 3.2vh; margin-top: 3vh }
svg { background: #fff; max-height: 70vh; width: 100% }
@media print {
  @page { size: A4; margin: 12mm }
  html { scroll-snap-type: none }
  body { background: #fff; color: #111; font: 10pt/1.35 sans-serif }
  section { min-height: 0; padding: 2mm 0; break-inside: avoid; border-color: #111 }
  h1 { font-size: 16pt } h2 { font-size: 12pt; margin: 1mm 0 }
  .kind { font-size: 10pt; border-color: #111 } .known, .id { font-size: 8pt; color: #333 }
  .box { font-size: 10pt; margin-top: 2mm }
}
";

/// The whole page.
#[must_use]
pub fn html(walk: &Walk, review: &Review) -> String {
    let mut body = Markup::default();
    body.within("section", |m| {
        m.element("h1", &format!("Walk-through: {}", walk.job));
        m.element(
            "p",
            &format!(
                "As built after {}. {} stations, {} in order.",
                walk.step,
                walk.stations.len(),
                walk.in_order()
            ),
        );
        if let Some(stage) = review.sequence.stages.get(walk.stage) {
            let rings: Vec<Ring<'_>> = walk
                .stations
                .iter()
                .enumerate()
                .filter(|(_, s)| !s.members.is_empty())
                .map(|(i, s)| Ring { label: (i + 1).to_string(), members: &s.members[..1] })
                .collect();
            let units = review.assembly.scene.units;
            m.raw(&plan(&review.assembly, stage, &rings, (900.0, 560.0), units));
        }
    });
    for (index, station) in walk.stations.iter().enumerate() {
        body.within("section", |m| section(m, index, walk.stations.len(), station));
    }
    Markup::document(&format!("Walk-through: {}", walk.job), STYLE, &body)
}

fn section(m: &mut Markup, index: usize, of: usize, station: &Station) {
    m.element("div class=\"kind\"", &format!("{} of {of}  {}", index + 1, kind(station)));
    m.element("h2", &station.title);
    m.list(&station.look);
    m.within("div class=\"known\"", |m| {
        m.list(&station.known);
    });
    let seen = match &station.walked {
        Some(w) => format!("{} {} on {}. {} {}", tick(station), w.by, w.on, w.note, w.photo),
        None => "☐ in order   ☐ not in order   note: ____________   photo: ________".to_owned(),
    };
    m.element("p class=\"box\"", &seen);
    m.element("p class=\"id\"", &station.id);
}
