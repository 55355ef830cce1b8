//! Posts of a block with their jacks and sills: what they stand on, how far they are drawn out.

use super::block::{Layout, NewMember, PostPlace};
use super::draft::{BEARS, Draft, NewJoint};
use super::ground;
use super::model::{JointKind, MemberId, Point, Role};
use crate::equipment::lookup::PartKind;
use crate::equipment::model::{Jack, Post};
use crate::equipment::{FIT, GRAVITY};
use crate::scene::model::{Floor, Override};
use crate::scene::suggest;
use crate::scene::{GridPoint, LinesError};
use std::collections::BTreeSet;

/// Makes the posts of a block, each on its sill and floor.
pub(super) fn lay_out(draft: &mut Draft<'_>, layout: &mut Layout<'_>) {
    let Some(floors) = Floors::of(draft, layout) else { return };
    let mut told = BTreeSet::new();
    for at in layout.points() {
        let name = format!("post.{}", layout.point_name(at));
        if layout.edits.omits(&name) {
            // Its sill goes with it, and may be named in an omission too.
            layout.edits.omits(&format!("sill.{}", layout.point_name(at)));
            continue;
        }
        if let Some(place) = one(draft, layout, &floors, at, &name, &mut told) {
            layout.posts.insert(at, place);
        }
    }
}

/// The floor and head level of each part of a block.
struct Floors<'s> {
    main: &'s Floor,
    /// Corners, added head level, and another floor.
    offsets: Vec<(GridPoint, GridPoint, f64, Option<&'s Floor>)>,
}

impl<'s> Floors<'s> {
    fn of(draft: &mut Draft<'s>, layout: &Layout<'_>) -> Option<Self> {
        let main = named(draft, &layout.block.stands_on, &format!("{}.stands_on", layout.path));
        let mut offsets = Vec::new();
        for (i, offset) in layout.block.offsets.iter().enumerate() {
            let path = format!("{}.offsets[{i}]", layout.path);
            let floor = match &offset.stands_on {
                Some(name) => Some(named(draft, name, &format!("{path}.stands_on"))?),
                None => None,
            };
            match part(layout, &offset.posts) {
                Ok((low, high)) => offsets.push((low, high, offset.head.si(), floor)),
                Err(error) => {
                    draft.problem(&format!("{path}.posts"), error.to_string(), None);
                }
            }
        }
        Some(Self { main: main?, offsets })
    }

    /// Added head level and floor at a point; the last offset that holds the point counts.
    fn at(&self, p: GridPoint) -> (f64, &'s Floor) {
        let holds = |low: &GridPoint, high: &GridPoint| {
            (low.x..=high.x).contains(&p.x) && (low.y..=high.y).contains(&p.y)
        };
        (self.offsets.iter().rev().find(|(low, high, ..)| holds(low, high)))
            .map_or((0.0, self.main), |(_, _, head, floor)| (*head, floor.unwrap_or(self.main)))
    }
}

/// Two corner posts, or one, as lowest and highest grid point; a single line is a part too.
fn part(layout: &Layout<'_>, text: &str) -> Result<(GridPoint, GridPoint), LinesError> {
    let (a, b) = match layout.grid.point(text) {
        Ok(point) => (point, point),
        Err(_) => layout.grid.run(text)?,
    };
    Ok((
        GridPoint { x: a.x.min(b.x), y: a.y.min(b.y) },
        GridPoint { x: a.x.max(b.x), y: a.y.max(b.y) },
    ))
}

fn named<'s>(draft: &mut Draft<'s>, name: &str, path: &str) -> Option<&'s Floor> {
    let scene = draft.scene;
    let found = scene.floors.iter().find(|f| f.name == name);
    if found.is_none() {
        let help = suggest::help(name, scene.floors.iter().map(|f| f.name.as_str()));
        draft.problem(path, format!("there is no floor \"{name}\""), help);
    }
    found
}

fn one(
    draft: &mut Draft<'_>,
    layout: &Layout<'_>,
    floors: &Floors<'_>,
    at: GridPoint,
    name: &str,
    told: &mut BTreeSet<String>,
) -> Option<PostPlace> {
    let block = layout.block;
    let library = draft.library;
    let edit = layout.edits.of(name);
    let part = edit.part.as_ref().unwrap_or(&block.post);
    let jack_part = edit.jack.as_ref().or(block.jack.as_ref());
    let sill_part = edit.sill.as_ref().or(block.sill.as_ref());
    let mut missing = |draft: &mut Draft<'_>, kind, part: &str, field: &str| {
        if told.insert(format!("{kind:?} {part}")) {
            draft.no_part(&format!("{}.{field}", layout.path), kind, part);
        }
    };
    let Some(post) = library.posts.get(part) else {
        missing(draft, PartKind::Post, part, "post");
        return None;
    };
    let jack = jack_part.and_then(|j| library.jacks.get(j).map(|jack| (j, jack)));
    if let (Some(name), None) = (jack_part, jack) {
        missing(draft, PartKind::Jack, name, "jack");
        return None;
    }
    let (added, floor) = floors.at(at);
    let plan = layout.plan(at);
    let mut foot = Point::new(plan[0], plan[1], ground::level(floor, plan));
    let mut off_sill = [0.0, 0.0];
    let mut sill_id = None;
    if let Some(sill_part) = sill_part {
        let Some(sill) = library.sills.get(sill_part) else {
            missing(draft, PartKind::Sill, sill_part, "sill");
            return None;
        };
        let sill_name = format!("sill.{}", layout.point_name(at));
        if !layout.edits.omits(&sill_name) {
            if let Some((x, y)) = edit.off_sill {
                off_sill = layout.turn(x.si(), y.si());
            }
            let middle = [plan[0] - off_sill[0], plan[1] - off_sill[1]];
            let top = ground::level(floor, middle) + sill.size.2.si();
            let half = layout.turn(sill.size.0.si() / 2.0, sill.size.1.si() / 2.0);
            let ends = [-1.0, 1.0]
                .map(|s| Point::new(middle[0] + s * half[0], middle[1] + s * half[1], top));
            let new = NewMember {
                role: Role::Sill,
                grid: (at, at),
                part: sill_part.clone(),
                ends,
                mass: sill.mass.si(),
            };
            let sill_edit = layout.edits.of(&sill_name);
            let id = draft.add(layout.make(&sill_name, new, &sill_edit));
            let mid = draft.member(id).length() / 2.0;
            if ground::is_under(floor, middle) {
                draft.join(rests(
                    JointKind::Ground,
                    (id, mid),
                    None,
                    Point::new(middle[0], middle[1], top),
                ));
            }
            foot.z = top;
            sill_id = Some((id, mid));
        }
    }
    let head_level = edit.head.map_or(block.head.si() + added, super::super::units::Length::si);
    let head = Point::new(plan[0], plan[1], head_level);
    let height = head_level - foot.z;
    let drawn = match edit.jack_out.filter(|_| jack.is_some()) {
        // As somebody set it, beyond the jack's own limits or not; the tubes take up the rest.
        Some(out) => draw_out(post, None, height - out.si()).map(|_| out.si()),
        None => draw_out(post, jack.map(|(_, j)| j), height),
    };
    let jack_height = drawn.as_ref().map_or(0.0, |d| *d);
    let new = NewMember {
        role: Role::Post,
        grid: (at, at),
        part: part.clone(),
        ends: [foot, head],
        mass: post.mass.si(),
    };
    let mut member = layout.make(name, new, &edit);
    member.off_sill = off_sill;
    if let Some((name, jack)) = jack {
        member.jack = Some((name.clone(), jack_height));
        member.weight += jack.mass.si() * GRAVITY;
    }
    let id = draft.add(member);
    if let Err(short) = drawn {
        draft.leave_out(
            format!(
                "post {} cannot stand at {}: {}",
                layout.point_name(at),
                layout.units.length(height),
                short.words(post, jack.map(|(_, j)| j), &edit, part, layout)
            ),
            vec![id],
            &layout.written_at,
        );
    }
    match sill_id {
        Some(sill) => draft.join(rests(JointKind::Foot, (id, 0.0), Some(sill), foot)),
        None if ground::is_under(floor, plan) => {
            draft.join(rests(JointKind::Ground, (id, 0.0), None, foot));
        }
        None => {}
    }
    Some(PostPlace {
        id,
        head,
        brace_low: jack_height + post.brace_low.si(),
        brace_high: post.brace_high.si(),
    })
}

fn rests(
    kind: JointKind,
    member: (MemberId, f64),
    carrier: Option<(MemberId, f64)>,
    at: Point,
) -> NewJoint {
    NewJoint { kind, member, carrier, at, clip: None, passes: [BEARS; 3], found: false }
}

/// Why a post cannot be drawn out to a height.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum OutOfReach {
    TooShort,
    TooTall,
}

impl OutOfReach {
    fn words(
        self,
        post: &Post,
        jack: Option<&Jack>,
        edit: &Override,
        part: &str,
        layout: &Layout<'_>,
    ) -> String {
        let say = |metres| layout.units.length(metres);
        let (least, most) = reach(post, jack);
        let with = match edit.jack.as_ref().or(layout.block.jack.as_ref()) {
            Some(jack) => format!("{part} on {jack}"),
            None => part.to_owned(),
        };
        match self {
            Self::TooShort => format!("{with} needs at least {}", say(least)),
            Self::TooTall => format!("{with} reaches {} at most", say(most)),
        }
    }
}

/// Least and greatest height of a post with its jack.
fn reach(post: &Post, jack: Option<&Jack>) -> (f64, f64) {
    let (low, high) = jack.map_or((0.0, 0.0), |j| (j.extension.0.si(), j.extension.1.si()));
    (post.reach.0.si() + low, post.reach.1.si() + high)
}

/// The jack's least extension in metres that lets the post reach a height; 0 without a jack.
///
/// # Errors
/// When the post with its jack is too long or too short for the height.
pub(super) fn draw_out(post: &Post, jack: Option<&Jack>, height: f64) -> Result<f64, OutOfReach> {
    let (least, most) = reach(post, jack);
    if height < least - FIT {
        Err(OutOfReach::TooShort)
    } else if height > most + FIT {
        Err(OutOfReach::TooTall)
    } else {
        let (low, high) = jack.map_or((0.0, 0.0), |j| (j.extension.0.si(), j.extension.1.si()));
        Ok((height - post.reach.1.si()).clamp(low, high))
    }
}
