//! Which unknowns of a member have to do with one another.

use crate::mechanics::element::Element;
use crate::mechanics::frame::ElementForm;

/// Not joined to anything by the member.
const NONE: u8 = u8::MAX;

/// The twelve unknowns of a member's nodes in groups, between which it passes nothing.
///
/// A bar that is pressed also pulls its ends sideways against one another. That is left out of the
/// groups: where such a bar is made, what it joins between groups is bounded (see `source`).
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Groups {
    of: [u8; 12],
    /// By group: whether it is stiff without any axial force, and whether such a force changes it.
    stiff: [bool; 12],
    changed: [bool; 12],
    /// By group: which bending planes have to do with it.
    planes: [[bool; 2]; 12],
    touched: [Touched; 12],
    pub count: u8,
}

impl Groups {
    pub(super) fn new(element: &Element) -> Self {
        let mut out = Self::found(element);
        out.touched = std::array::from_fn(|group| match u8::try_from(group) {
            Ok(group) => Touched::of(out.places(group)),
            Err(_) => Touched::default(),
        });
        out
    }

    fn found(element: &Element) -> Self {
        let bar = element.bending[0] == 0.0 && element.bending[1] == 0.0;
        let plain = element.assemble(ElementForm::Exact, 0.0).map(|a| a.matrix);
        // A force that no member buckles under.
        let bending = element.bending[0].max(element.bending[1]);
        let force = 1e-3 * (bending / (element.length * element.length)).max(1.0);
        let pressed = element.assemble(ElementForm::Exact, -force).map(|a| a.matrix);
        let (Some(plain), Some(pressed)) = (plain, pressed) else { return Self::one() };
        let bounded = bar && element.arms.is_none();
        let joins =
            |a: usize, b: usize| plain[(a, b)] != 0.0 || (!bounded && pressed[(a, b)] != 0.0);
        let touched = |a: usize| (0..12).any(|b| plain[(a, b)] != 0.0 || pressed[(a, b)] != 0.0);
        let mut out = Self {
            of: [NONE; 12],
            stiff: [false; 12],
            changed: [false; 12],
            planes: [[true; 2]; 12],
            touched: [Touched::default(); 12],
            count: 0,
        };
        for first in 0..12 {
            if out.of[first] != NONE || !touched(first) {
                continue;
            }
            let group = out.count;
            out.count += 1;
            out.of[first] = group;
            let mut at_hand = vec![first];
            while let Some(a) = at_hand.pop() {
                for b in 0..12 {
                    if plain[(a, b)] != 0.0 {
                        out.stiff[usize::from(group)] = true;
                    }
                    if plain[(a, b)] != pressed[(a, b)] {
                        out.changed[usize::from(group)] = true;
                    }
                    if out.of[b] == NONE && joins(a, b) {
                        out.of[b] = group;
                        at_hand.push(b);
                    }
                }
            }
        }
        if !bar {
            for plane in 0..2 {
                let mut alone = [false; 2];
                alone[plane] = true;
                let Some(part) = element.assemble_planes(ElementForm::Exact, -force, alone) else {
                    return Self::one();
                };
                let rest = element.assemble_planes(ElementForm::Exact, -force, [false; 2]);
                let rest = rest.map(|rest| rest.matrix);
                let joined = |group: u8| {
                    let of = |k: usize| out.of[k] == group;
                    (0..12).any(|a| {
                        let differs =
                            |b: usize| rest.is_none_or(|r| part.matrix[(a, b)] != r[(a, b)]);
                        of(a) && (0..12).any(differs)
                    })
                };
                let joined: Vec<bool> = (0..out.count).map(joined).collect();
                for (planes, joined) in out.planes.iter_mut().zip(joined) {
                    planes[plane] = joined;
                }
            }
        }
        out
    }

    /// All in one.
    fn one() -> Self {
        Self {
            of: [0; 12],
            stiff: [true; 12],
            changed: [true; 12],
            planes: [[true; 2]; 12],
            touched: [Touched::of(0..12); 12],
            count: 1,
        }
    }

    /// The same with all that the member touches in one group.
    pub(super) fn whole(&self) -> Self {
        let of = self.of.map(|g| if g == NONE { NONE } else { 0 });
        Self { of, count: self.count.min(1), ..Self::one() }
    }

    /// Places of a group's unknowns among the twelve.
    pub(super) fn places(&self, group: u8) -> impl Iterator<Item = usize> + '_ {
        (0..12).filter(move |&k| self.of[k] == group)
    }

    /// What a group's unknowns are.
    pub(super) fn touched(&self, group: u8) -> Touched {
        self.touched[usize::from(group)]
    }

    /// The bending planes that have to do with a group: the first that it has to do with is where
    /// what it condenses is counted.
    pub(super) fn planes(&self, group: u8) -> [bool; 2] {
        self.planes[usize::from(group)]
    }

    /// Whether an axial force changes what the group passes.
    pub(super) fn is_changed(&self, group: u8) -> bool {
        self.changed[usize::from(group)]
    }

    /// Whether the group is stiff without any axial force.
    pub(super) fn is_stiff(&self, group: u8) -> bool {
        self.stiff[usize::from(group)]
    }
}

/// What a group of a member's unknowns touches.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Touched {
    /// Upright planes in which it moves or leans something.
    pub planes: [bool; 2],
    pub upright: bool,
    spin: bool,
    pub count: usize,
}

impl Touched {
    fn of(places: impl Iterator<Item = usize>) -> Self {
        let mut out = Self::default();
        for place in places {
            out.count += 1;
            match place % 6 {
                0 | 4 => out.planes[0] = true,
                1 | 3 => out.planes[1] = true,
                2 => out.upright = true,
                _ => out.spin = true,
            }
        }
        out
    }

    /// Whether it passes something from one plane to the other, or turns a post as it moves it.
    pub(super) fn across(self) -> bool {
        self.planes == [true; 2] || self.spin && (self.upright || self.planes != [false; 2])
    }
}

#[cfg(test)]
mod tests {
    use super::Groups;
    use crate::assembly::model::{Point, Vector};
    use crate::mechanics::element::Element;
    use crate::mechanics::frame::{Frame, FrameMember, Section};

    fn member(to: [f64; 3], bar: bool) -> Groups {
        let nodes = vec![Point::origin(), Point::new(to[0], to[1], to[2])];
        let mut frame = Frame { nodes, ..Frame::default() };
        frame.sections.push(Section { e: 2e11, g: 8e10, a: 1e-3, iy: 1e-6, iz: 1e-6, j: 2e-6 });
        frame.members.push(if bar {
            FrameMember::bar(0, 1, 0)
        } else {
            FrameMember::beam(0, 1, 0, Vector::x())
        });
        Groups::new(&Element::new(&frame, 0))
    }

    fn together(groups: &Groups, of: usize) -> Vec<usize> {
        let group = (0..groups.count).find(|g| groups.places(*g).any(|k| k == of));
        group.map_or_else(Vec::new, |g| groups.places(g).collect())
    }

    #[test]
    fn a_level_bar_joins_its_ends_along_itself_only() {
        let bar = member([2.0, 0.0, 0.0], true);
        assert_eq!(together(&bar, 0), [0, 6]);
        assert!(bar.is_stiff(0) && !bar.is_changed(0), "pressed it is as stiff along itself");
        assert!((1..5).all(|g| !bar.is_stiff(g) && bar.is_changed(g)));
        assert_eq!(together(&bar, 1), [1]);
        assert_eq!(together(&bar, 8), [8]);
        assert_eq!(bar.count, 5);
    }

    #[test]
    fn a_brace_in_a_plane_leaves_out_what_is_across_and_a_skew_one_nothing() {
        let brace = member([2.0, 0.0, 1.5], true);
        assert_eq!(together(&brace, 0), [0, 2, 6, 8]);
        assert_eq!(together(&brace, 1), [1]);
        let skew = member([2.0, 1.0, 1.5], true);
        assert_eq!(together(&skew, 0), [0, 1, 2, 6, 7, 8]);
        assert_eq!(skew.count, 1);
    }

    #[test]
    fn an_upright_post_bends_in_two_planes_is_pressed_and_twists() {
        let post = member([0.0, 0.0, 3.0], false);
        assert_eq!(together(&post, 0), [0, 4, 6, 10]);
        assert_eq!(together(&post, 1), [1, 3, 7, 9]);
        assert_eq!(together(&post, 2), [2, 8]);
        assert_eq!(together(&post, 5), [5, 11]);
        // What is condensed in a plane is counted in the one group it bends.
        for plane in 0..2 {
            assert_eq!((0..4).filter(|&g| post.planes(g)[plane]).count(), 1);
        }
        assert!((0..4).all(|g| post.planes(g) != [true; 2]));
        assert_eq!(post.count, 4);
    }
}
