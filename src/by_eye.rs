//! What only eyes on site can tell: items for the walk, each with when it applies and its clause.
//!
//! A scene knows lengths and weights. It does not know whether a sill has been undercut, a hose is
//! lashed to a post, or a wedge is loose. What a check can tell is a hazard of its own and is not
//! repeated here, unless the scene leaves out what the check needs.

use crate::assembly::{Assembly, Role};
use crate::criteria::model::Seen;
use crate::scene::model::{FloorKind, LoadKind, LoadPlace, SequenceItem, StepText};

/// When in the work an item is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum When {
    Erecting,
    BeforePlacing,
    WhilePlacing,
    AfterPlacing,
}

/// One thing to look at.
#[derive(Clone, Copy)]
pub struct Item {
    /// Short and lasting, for the record.
    pub name: &'static str,
    /// What to look at, as a question whose good answer is yes.
    pub look: &'static str,
    /// What happens where it is not so.
    pub why: &'static str,
    pub clause: &'static str,
    pub seen: Seen,
    pub when: When,
    applies: fn(&Assembly) -> bool,
}

impl Item {
    /// Whether the scene calls for it.
    #[must_use]
    pub fn applies(&self, assembly: &Assembly) -> bool {
        (self.applies)(assembly)
    }
}

/// The items that a scene calls for, in the order of the work.
#[must_use]
pub fn items(assembly: &Assembly) -> Vec<&'static Item> {
    ALL.iter().filter(|item| item.applies(assembly)).collect()
}

/// Every item.
pub static ALL: &[Item] = &[
    Item {
        name: "sills-sound",
        look: "Is every sill whole, level and bearing over all of its underside, after the last \
               rain, thaw and frost too?",
        why: "Water and frost take the ground from under a sill and leave it looking level.",
        clause: "29 CFR 1926.703(b)(5)",
        seen: Seen::Memory,
        when: When::Erecting,
        applies: on_ground,
    },
    Item {
        name: "reach",
        look: "Can every head, lock and clip be worked at from a lift or tower, with both hands?",
        why: "What is above reach is knocked home with a pole, or not at all.",
        clause: "29 CFR 1926.451(e)(1)",
        seen: Seen::Print,
        when: When::Erecting,
        applies: |a| a.scene.surroundings.reach.is_none() && any_post(a),
    },
    Item {
        name: "edges-and-openings",
        look: "Has every edge and opening, the leading edge included, a rail, a net, a cover that \
               is fixed and marked, or is everybody there tied off?",
        why: "The edge moves with every sheet that is laid.",
        clause: "29 CFR 1926.501(b)(2), (b)(4), (b)(5)",
        seen: Seen::Memory,
        when: When::Erecting,
        applies: has_deck,
    },
    Item {
        name: "damage",
        look: "Are posts straight, tubes round, welds whole, locks and wedges complete?",
        why: "A bent post carries a part of its table's load, and nobody knows which.",
        clause: "29 CFR 1926.703(b)(1), (b)(2)",
        seen: Seen::Memory,
        when: When::Erecting,
        applies: any_post,
    },
    Item {
        name: "traffic",
        look: "Are vehicles kept off the posts by something that stops one?",
        why: "A post that is touched goes, and its neighbours get its load.",
        clause: "common practice, no published source",
        seen: Seen::Practice,
        when: When::Erecting,
        applies: |a| a.scene.surroundings.vehicle_ways.is_empty() && on_floor(a),
    },
    Item {
        name: "near-edges-of-ground",
        look: "Is every sill further from a trench or bank than the bank is deep?",
        why: "The wedge of ground at an edge is held by nothing.",
        clause: "29 CFR 1926.651(j)(2)",
        seen: Seen::Memory,
        when: When::Erecting,
        applies: |a| a.scene.surroundings.drops.is_empty() && on_ground(a),
    },
    Item {
        name: "openings-below",
        look: "Does every post on a slab stand clear of openings and of covers?",
        why: "Beside an opening a slab punches at a fraction of its strength.",
        clause: "common practice, no published source",
        seen: Seen::Practice,
        when: When::Erecting,
        applies: |a| a.scene.surroundings.openings.is_empty() && on_slab(a),
    },
    Item {
        name: "stacks",
        look: "Do bundles lie on finished bays, over posts and not at mid-span, and none at an edge?",
        why: "A bundle on half a deck tips its sheets; at an edge it tips the ledgers.",
        clause: "common practice, no published source",
        seen: Seen::Practice,
        when: When::Erecting,
        applies: has_deck,
    },
    Item {
        name: "beam-sides",
        look: "Are the sides of deep beams tied or strutted across, and the outer side of edge beams \
               back to the deck?",
        why: "Fresh concrete pushes a side out with its weight times its depth: 3 ft deep it is \
              about 450 psf at the bottom, and nothing under the beam holds that.",
        clause: "ACI 347, lateral pressure w·h (from memory)",
        seen: Seen::Memory,
        when: When::BeforePlacing,
        applies: |a| a.scene.slabs.iter().any(|s| !s.drop_beams.is_empty()),
    },
    Item {
        name: "contact",
        look: "Are all plates, heads, jacks and locks in firm contact, plumb, and wedged where due?",
        why: "A post that does not touch gets no load, and its neighbours get all of it at once.",
        clause: "29 CFR 1926.703(b)(3), (b)(6)",
        seen: Seen::Memory,
        when: When::BeforePlacing,
        applies: any_post,
    },
    Item {
        name: "hose-and-boom",
        look: "Is the placing boom or hose hung free of the falsework, and its line not lashed to a \
               post, ledger or edge form?",
        why: "A line jerks at every stroke of the pump, sideways, at the head of what it is tied to.",
        clause: "common practice, no published source",
        seen: Seen::Practice,
        when: When::WhilePlacing,
        applies: has_slab,
    },
    Item {
        name: "drop-height",
        look: "Does the concrete come down from no more than about 3 ft (1 m), moved on all the time, and \
               never from a bucket opened at once?",
        why: "A bucket let go at once lands with a multiple of its weight on one bay. The live load for \
              placing is meant for concrete that is led, not dropped.",
        clause: "common practice, no published source with a number",
        seen: Seen::Practice,
        when: When::WhilePlacing,
        applies: |a| has_slab(a) || pours(a),
    },
    Item {
        name: "watch-below",
        look: "Does somebody watch posts, braces and sills from outside while it is placed, with a way \
               to stop it, and is nobody else below?",
        why: "What gives way is seen seconds before it goes.",
        clause: "29 CFR 1926.703(b)(3); 12 NYCRR 23-2.2(c)",
        seen: Seen::Memory,
        when: When::WhilePlacing,
        applies: has_slab,
    },
    Item {
        name: "no-adjusting",
        look: "Are jacks and posts left alone once concrete lies on them?",
        why: "To turn one up is to lift the slab with it and to unload its neighbours; to turn one \
              down is to drop its share on them.",
        clause: "29 CFR 1926.703(b)(9); WAC 296-155-687(8)",
        seen: Seen::Memory,
        when: When::WhilePlacing,
        applies: |a| has_slab(a) || pours(a),
    },
    Item {
        name: "stressing",
        look: "If the slab is post-tensioned: has the engineer said which posts get more and which \
               get less when it is stressed, and are those looked at before and after?",
        why: "Stressing lifts the middle of a span off its posts and sets its weight down on those at \
              the columns and edges.",
        clause: "common practice, no published source",
        seen: Seen::Practice,
        when: When::AfterPlacing,
        applies: has_slab,
    },
];

fn any_post(assembly: &Assembly) -> bool {
    assembly.members.iter().any(crate::assembly::Member::is_post)
}

fn has_deck(assembly: &Assembly) -> bool {
    assembly.members.iter().any(|m| m.role == Role::Sheet)
}

fn has_slab(assembly: &Assembly) -> bool {
    !assembly.scene.slabs.is_empty()
}

fn on_floor(assembly: &Assembly) -> bool {
    any_post(assembly) && !assembly.scene.floors.is_empty()
}

fn on_ground(assembly: &Assembly) -> bool {
    assembly.scene.floors.iter().any(|f| matches!(f.kind, FloorKind::Ground { .. }))
}

fn on_slab(assembly: &Assembly) -> bool {
    assembly.scene.floors.iter().any(|f| f.kind == FloorKind::Slab)
}

fn pours(assembly: &Assembly) -> bool {
    let pours = |step: &StepText| {
        step.actions.iter().any(|a| match a {
            crate::scene::model::Action::Load(load) => {
                load.kind == LoadKind::Concrete || matches!(load.on, LoadPlace::Pour { .. })
            }
            _ => false,
        })
    };
    assembly.scene.sequence.iter().any(|item| match item {
        SequenceItem::Step(step) => pours(step),
        _ => false,
    })
}
