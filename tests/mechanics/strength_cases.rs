//! The strength check against each lateral case with the forces of that case alone.
//!
//! The check takes one Kg for all cases, with the most compression any of them brings. That no case
//! by itself does worse is no theorem for a single moment, so it is held here: the whole frame of a
//! stage (exact elements, sparse factorisation, no tree) is solved case by case in second order, its
//! own axial forces found again until they stay, and the use of each tube computed from its ends.

use super::sequences::laid_out;
use standwell::assembly::{Assembly, MemberId};
use standwell::criteria::Pack;
use standwell::equipment::model::Section;
use standwell::loads::{head_lateral_along, take_down};
use standwell::mechanics::answers::Solution;
use standwell::mechanics::frame::{ElementForm, LoadCase};
use standwell::mechanics::model::Model;
use standwell::mechanics::stage::idealise::{PieceOf, StageFrame, idealise};
use standwell::mechanics::stage::{Judge, cases};
use standwell::sequence::Stage;
use standwell::units::{Angle, Force, Length};
use std::collections::BTreeMap;

/// Posts upright, straight and loaded on their axes: the lateral cases are all there is. Their loads
/// are multiplied by `factor`.
fn straight(pack: &Pack, factor: f64) -> Pack {
    let mut pack = pack.clone();
    pack.yield_factor.value = factor;
    pack.worker_push.value = Force(0.0);
    pack.out_of_plumb.value = Angle(0.0);
    pack.head_eccentricity.value = Length(0.0);
    pack.telescope_play.value = 0.0;
    pack.bow.value = 0.0;
    pack
}

/// Second order with the case's own axial forces, found again until they stay.
fn solve(model: &Model<'_>, case: &LoadCase) -> Option<Solution> {
    let mut found = model.factor().ok()?.solve(case).ok()?;
    for _ in 0..20 {
        let next = model.second_order(case, &found.axial, 1.0).ok()?;
        let largest = next.axial.iter().fold(0.0, |m: f64, n| m.max(n.abs()));
        let moved =
            next.axial.iter().zip(&found.axial).all(|(a, b)| (a - b).abs() < 1e-9 * largest);
        found = next;
        if moved {
            return Some(found);
        }
    }
    None
}

/// Use of each post at its pieces' ends, `N/(A·fy) + M/(W·fy)` of tubes that stand alone.
fn uses(assembly: &Assembly, frame: &StageFrame, solved: &Solution) -> BTreeMap<MemberId, f64> {
    let mut most = BTreeMap::new();
    for (k, ends) in solved.end_forces.iter().enumerate() {
        let post = frame.of[k];
        let Some(part) = assembly.library.posts.get(&assembly.member(post).part) else { continue };
        let tube: &Section = match frame.pieces[k] {
            PieceOf::Outer => &part.outer,
            PieceOf::Inner => &part.inner,
            _ => continue,
        };
        let fy = tube.fy.si();
        let modulus = tube.i.si() / (tube.outside.si() / 2.0);
        for end in ends {
            let use_of = (-solved.axial[k]).max(0.0) / (tube.area.si() * fy)
                + end[4].hypot(end[5]) / (modulus * fy);
            let entry = most.entry(post).or_insert(0.0_f64);
            *entry = entry.max(use_of);
        }
    }
    most
}

fn times(case: &LoadCase, factor: f64) -> LoadCase {
    let mut out = case.clone();
    for (_, load) in &mut out.nodal {
        load.iter_mut().for_each(|f| *f *= factor);
    }
    out
}

/// The cases of a stage, by axis, both ways, under loads times the factor.
fn lateral(
    (assembly, pack, stage): (&Assembly, &Pack, &Stage),
    frame: &StageFrame,
) -> Vec<(u8, LoadCase)> {
    let loads = take_down(assembly, pack, stage);
    let weight = cases::weight(assembly, &loads, frame);
    let mut all = Vec::new();
    for (which, axis) in cases::axes(assembly).into_iter().enumerate() {
        for sense in [1.0, -1.0] {
            let mut case = weight.clone();
            for &post in frame.posts.keys() {
                let force = head_lateral_along(assembly, pack, stage, &loads, post, axis);
                let Some(head) = frame.head(post) else { continue };
                let to = [axis[0] * sense, axis[1] * sense];
                case.nodal.push(cases::sideways(head, to, force));
            }
            all.push((u8::try_from(which).unwrap(), times(&case, pack.yield_factor.value)));
        }
    }
    all
}

/// Posts held, and how near the nearest case comes to what the check says.
fn hold(name: &str, factor: f64) -> (usize, f64) {
    let (mut held, mut closest) = (0, 0.0_f64);
    let (assembly, pack, sequence) = laid_out(name);
    let pack = straight(&pack, factor);
    let mut judge = Judge::new(&assembly, &pack);
    let step = (sequence.stages.len() / 12).max(1);
    for stage in sequence.stages.iter().step_by(step) {
        let found = judge.stage(stage, &take_down(&assembly, &pack, stage));
        let frame = idealise(&assembly, stage);
        // With mechanisms or feet that lift the frame of the case is another one.
        if frame.posts.is_empty() || !found.mechanisms.is_empty() || !found.lifting_feet.is_empty()
        {
            continue;
        }
        let model = Model::new(&frame.frame, ElementForm::Exact, &[]).unwrap();
        for (axis, case) in lateral((&assembly, &pack, stage), &frame) {
            let Some(solved) = solve(&model, &case) else { continue };
            for (post, due) in uses(&assembly, &frame, &solved) {
                let Some(said) = found.strength.of(post).into_iter().find(|p| p.axis == axis)
                else {
                    continue;
                };
                assert!(
                    said.usage >= due * (1.0 - 1e-6),
                    "{name}, factor {factor}, {}, {}: {} said, {due} by the case itself",
                    stage.step,
                    assembly.name(post),
                    said.usage
                );
                closest = closest.max(due / said.usage);
                held += 1;
            }
        }
    }
    (held, closest)
}

/// At the loads as they are, and at so many times these that sway and bowing grow by second order.
#[test]
fn no_case_by_itself_uses_a_post_further() {
    let (mut held, mut closest) = (0, 0.0_f64);
    for name in ["sound-floor", "tall-lobby", "slab-edge", "offset-and-grade", "starter-tower"] {
        for factor in [1.65, 20.0, 60.0] {
            let (count, nearest) = hold(name, factor);
            println!("{name}, factor {factor}: {count} posts and cases, nearest {nearest:.3}");
            held += count;
            closest = closest.max(nearest);
        }
    }
    assert!(held > 1000, "{held} posts held");
    // A check that says far more than there is would prove nothing.
    assert!(closest > 0.6, "the nearest case comes to {closest} of what is said");
}
