//! The page that shows where the shipped packs disagree is made from the packs.

use super::criteria::{eu, uk, us};
use standwell::criteria::{Pack, RuleLine};
use standwell::units::UnitSystem;
use std::path::Path;

const HEAD: &str = "# Where the packs disagree

Made from the packs themselves by
`UPDATE=1 cargo test --no-default-features --test core disagreements`. A cell holds the value and how its
clause was seen: print, memory (to be checked against the document), practice (a choice of this
project). `standwell rules PACK` prints every number with its source, `standwell check JOB --beside PACK`
judges a job under two packs.

";

const TAIL: &str = "
The documents do not only differ in numbers:

- Least lateral force: ACI 347 and California take 2 % of the *dead* load or 100 lb per foot of edge;
  BS 5975 takes 2.5 % of the *vertical* load, live load included; the Bragg report asked 3 %; EN 12812
  takes 1 % besides a sway of 1/100 and the wind; ASCE 37 takes 2 % of the vertical load.
- When a single post is braced: federal OSHA text asks for it by name only of tiered posts; Washington,
  New York State and EM 385-1-1 always, both ways, as they go up; New York City asks for diagonals above
  10 ft and never takes struts alone. These are options over the US pack.
- Factor on posts: 3.0 on a tested single post in US practice, 1.65 on a characteristic strength by
  EN 1065, about 2 on a failure load in BS practice. The basis of the supplier's table decides which
  counts.
- Overturning: 1.2 on the whole (BS 5975), 0.9 and 1.1 or 1.5 on its parts (EN 1990), 1.5 for walls in
  the IBC. The 4 of suspended counterweights is another hazard.
- Out of plumb: 1.5 degrees for props (BS 5975), 1/100 (EN 12812), 1/200 (EN 1993), 1/500 (AISC).
- Soil: the IBC bars unprepared fill unless the official accepts it for temporary structures; Chicago's
  archived code gives it 500 psf. No pack gives a bearing: the scene states it, or it is unknown.
";

fn page() -> String {
    let packs = [us(), uk(), eu()];
    let rules: Vec<Vec<RuleLine<'_>>> = packs.iter().map(Pack::rules).collect();
    let mut out = HEAD.to_owned();
    out.push_str("| rule | us | uk | eu |\n| --- | --- | --- | --- |\n");
    for rule in &rules[0] {
        let row: Vec<Option<&RuleLine<'_>>> =
            rules.iter().map(|all| all.iter().find(|r| r.name == rule.name)).collect();
        let same = row.iter().all(|r| r.is_some_and(|r| r.si == rule.si));
        if same {
            continue;
        }
        let cells: Vec<String> = row
            .iter()
            .map(|r| match r {
                None => "none".to_owned(),
                Some(r) => {
                    let seen = format!("{:?}", r.seen).to_lowercase();
                    format!("{} ({seen})", r.words(UnitSystem::Metres))
                }
            })
            .collect();
        out.push_str(&format!("| `{}` | {} |\n", rule.name, cells.join(" | ")));
    }
    out.push_str(TAIL);
    out
}

#[test]
fn the_page_of_disagreements_is_that_of_the_packs() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("assets/criteria/README.md");
    let due = page();
    if std::env::var_os("UPDATE").is_some() {
        std::fs::write(&path, &due).unwrap();
        return;
    }
    assert_eq!(
        std::fs::read_to_string(&path).unwrap(),
        due,
        "write it anew, as it says in its head"
    );
    for name in ["live_load", "lateral_share", "overturning", "factor_on_characteristic"] {
        assert!(due.contains(&format!("| `{name}` |")), "{name}");
    }
}
