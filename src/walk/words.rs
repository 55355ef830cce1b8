//! What to look at on site, in plain words, by hazard.

use crate::findings::Finding;

/// What a person who has never read a standard can look at, for a finding. Common practice, in this
/// project's own words. A hazard without words of its own gives what was found and what puts it right.
#[must_use]
pub fn look_for(finding: &Finding) -> Vec<String> {
    let own: &[&str] = match finding.hazard.as_str() {
        "post-not-held" | "stage-unstable" | "toppled-by-push" => &[
            "Stand back and look along the row, both ways. Follow it until you come to a diagonal or a tie.",
            "If you come to none, the row can go over, however straight it looks now.",
            "Do not lean on it, and do not let anybody climb it, to find out.",
        ],
        "tall-single-leg" => &[
            "Look at the post from the side: is it straight between the points where it is held?",
            "Measure its height, and hold it against the longest the supplier's table shows.",
        ],
        "post-overloaded" => &[
            "Look at what lies above this post, and how far its neighbours are away.",
            "Look for bent pins, tubes pushed in, plates dug into the sill.",
        ],
        "foot-lifts" => &[
            "Look at the foot: does the plate lie flat on its sill all round?",
            "Look at what holds the post down: is it fixed at both ends?",
        ],
        "cantilever-tips" | "clip-missing" => &[
            "Look at the last post before the edge: is the clip on and home?",
            "Nobody steps out past that post until it is.",
        ],
        "clip-on-light-post" => &[
            "Follow the clip down: what would it lift? Look for a pin through the tubes and a fixed foot.",
            "Look whether a prop stands under the tip.",
        ],
        "sheet-past-last-joist" => &[
            "Look from below: where does the sheet end, and where is its last joist?",
            "What stands out past it is a trap for a foot.",
        ],
        "post-on-nothing" => &[
            "Look at the foot: the whole plate must lie on its sill, and the sill on firm ground.",
            "Push the sill with your boot. It must not rock.",
        ],
        "joint-near-miss" => &[
            "Look at where the two members come together: do they truly meet, and are they fastened?",
        ],
        "more-hands-than-crew" => {
            &["Count who is there. Who holds what, while the next part is lifted?"]
        }
        "removed-under-load" => &[
            "Before anything is taken away: what still hangs on it, or lies on it?",
            "Look up. Nobody stands beneath.",
        ],
        "tiered-post-unbraced" => &[
            "Look at where one post stands on the other: are they in line, and fastened together?",
            "Look for diagonals both ways, at that height and in each tier.",
        ],
        "brace-plane-broken" => &[
            "Follow the row of bracing to the step in the floor or the deck: does it go on beyond?",
        ],
        "head-loaded-unlocked" => &[
            "Look at the head: is its lock home? Strike it once more with the hammer.",
            "Nothing more goes on top before it is.",
        ],
        "lift-too-heavy" => &["Two people, or a hoist. Look whether there is room for them."],
        "damaged-part-in-use" => &[
            "Look at the part: dents, bends, cracks, a pin that is no pin of its own.",
            "Take it out of use and mark it, so that nobody puts it back.",
        ],
        "diagonals-required" => &["Look for the diagonals: at this height a rule asks for them."],
        "engineer-required" => &["Ask for the drawing. Whose name is on it?"],
        "not-judged" | "layout-problem" | "graph-disagrees" => &[
            "This could not be judged. Look at it as if it were not safe.",
            "Ask the person who drew it.",
        ],
        _ => &[],
    };
    if own.is_empty() {
        return std::iter::once(&finding.headline).chain(finding.cures.first()).cloned().collect();
    }
    own.iter().map(|line| (*line).to_owned()).collect()
}
