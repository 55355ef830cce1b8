//! The second-order strength check of stages against closed forms.

use crate::loads::fixture::{HOOKED, Site, pack};
use standwell::assembly::{JointKind, MemberId, Role};
use standwell::criteria::Pack;
use standwell::equipment::Library;
use standwell::loads::take_down;
use standwell::mechanics::frame::ElementForm;
use standwell::mechanics::model::Model;
use standwell::mechanics::stage::idealise;
use standwell::mechanics::{PostStrength, StageMechanics, Verdict, judge_stage};
use standwell::sequence::JointState;
use standwell::units::{Angle, Force, Length, Speed};

const EI: f64 = 200e9 * 58e-8;
const HEIGHT: f64 = 3.0;

/// Tube of one piece over 3 m, or drawn out from 2 m; braces as thin as `brace` says.
fn library(outer_length: f64, brace: &str, more: &str) -> Library {
    let outer =
        "(outside: \"89 mm\", area: \"10.68 cm2\", i: \"58 cm4\", e: \"200 GPa\", fy: \"240 MPa\")";
    let inner =
        "(outside: \"76 mm\", area: \"9 cm2\", i: \"40 cm4\", e: \"200 GPa\", fy: \"240 MPa\")";
    let text = format!(
        "(format: 1, title: \"\", sample: true,
          posts: {{\"post\": (mass: \"20 kg\", reach: (\"2 m\", \"4 m\"), outer: {outer},
            outer_length: \"{outer_length} m\", inner: {inner}, overlap: \"0.3 m\",
            base_plate: \"0.15 m\", brace_low: \"0.3 m\", brace_high: \"0.3 m\", {more}
            head: (kind: plate, width: \"0.15 m\", locked: (bearing: true, along: true)),
            capacity: (basis: safe_working_load, rows: [(\"4 m\", \"30 kN\")]))}},
          beams: {{\"ledger\": (mass: \"10 kg\", length: \"2 m\", depth: \"0.15 m\", width: \"0.07 m\",
            e: \"200 GPa\", i: \"400 cm4\", area: \"14 cm2\", moment: \"8 kN m\", shear: \"30 kN\")}},
          braces: {{
            \"tiein\": (mass: \"6 kg\", length: (\"1 m\", \"5 m\"), outside: \"48 mm\", area: \"45 cm2\",
              e: \"200 GPa\", tension: \"12 kN\", compression: Some(\"6 kN\"), coupler: \"6 kN\"),
            \"brace\": (mass: \"6 kg\", length: (\"1 m\", \"5 m\"), outside: \"0.01 mm\", area: \"{brace}\",
              e: \"200 GPa\", tension: \"12 kN\", compression: Some(\"6 kN\"), coupler: \"6 kN\")}})"
    );
    ron::Options::default().from_str(&text).unwrap()
}

/// Upright, straight, loaded on its axis, and nothing sideways.
fn perfect() -> Pack {
    let mut pack = pack();
    pack.lateral_share.value = 0.0;
    pack.worker_push.value = Force(0.0);
    pack.working_wind.value = Speed(0.0);
    pack.out_of_plumb.value = Angle(0.0);
    pack.head_eccentricity.value = Length(0.0);
    pack.telescope_play.value = 0.0;
    pack.bow.value = 0.0;
    pack.yield_factor.value = 1.65;
    pack
}

fn tie(site: &mut Site, post: &str, to: [f64; 3]) {
    let name = format!("tie.{post}.{}.{}", to[0], to[1]);
    let head = [0.0, 0.0, HEIGHT];
    let from = if post == "A1" { head } else { [2.0, 0.0, HEIGHT] };
    site.member(&name, Role::TieIn, to, from, 0.0);
    let length = (0..3).map(|d| (to[d] - from[d]).powi(2)).sum::<f64>().sqrt();
    site.joint(JointKind::Tie, &name, 0.0, None, HOOKED, JointState::Locked);
    let at = Some((post, HEIGHT));
    site.joint(JointKind::Coupler, &name, length, at, HOOKED, JointState::Locked);
}

/// One post of 40 kN, its head held both ways.
fn held(library: Library) -> Site {
    let mut site = Site::default();
    site.library = library;
    site.post("A1", 0.0, 0.0).edit("A1", |post| post.weight = 40e3);
    tie(&mut site, "A1", [-1.0, 0.0, HEIGHT]);
    tie(&mut site, "A1", [0.0, -1.0, HEIGHT]);
    site
}

fn judged(site: &Site, pack: &Pack) -> StageMechanics {
    let (assembly, stage) = site.build();
    let loads = take_down(&assembly, pack, &stage);
    judge_stage(&assembly, pack, &stage, &loads)
}

fn only(found: &StageMechanics) -> PostStrength {
    assert_eq!(found.strength.unknown, [], "{:?}", found.strength);
    assert_eq!(found.strength.posts.len(), 2, "two directions");
    found.strength.posts.get(0).unwrap()
}

/// Within what the sampling may add, and never below.
fn covers(found: f64, exact: f64) {
    assert!(found >= exact * (1.0 - 1e-6), "{found} is less than {exact}");
    assert!(found <= exact * 1.02, "{found} is far above {exact}");
}

/// Compression is at least the factor times the load, and no more than its bands above it.
fn k_of(post: &PostStrength) -> f64 {
    assert!(post.compression >= 1.65 * 40e3 && post.compression <= 1.65 * 40e3 * 1.021);
    (post.compression / EI).sqrt()
}

#[test]
fn a_perfect_post_has_compression_alone() {
    let post = only(&judged(&held(library(4.0, "4.5 cm2", "")), &perfect()));
    assert!(post.moment.abs() < 1e-6, "{post:?}");
    let expected = post.compression / (10.68e-4 * 240e6);
    assert!((post.usage / expected - 1.0).abs() < 1e-6, "{post:?}");
}

/// Load off the axis at the head alone: max = N·e/sin kL where kL is past π/2 (Timoshenko and Gere,
/// 2nd ed., ch. 1, from memory).
#[test]
fn an_eccentric_head() {
    let mut pack = perfect();
    pack.head_eccentricity.value = Length(0.025);
    let post = only(&judged(&held(library(4.0, "4.5 cm2", "")), &pack));
    let turn = k_of(&post) * HEIGHT;
    assert!(turn > std::f64::consts::FRAC_PI_2);
    covers(post.moment, 1.65 * 40e3 * 0.025 / turn.sin());
    let usage = post.compression / (10.68e-4 * 240e6) + post.moment / (58e-8 / 0.0445 * 240e6);
    assert!((post.usage / usage - 1.0).abs() < 1e-9);
}

/// A parabolic bow e₀ acts as q = 8·N·e₀/L²: max = N·e₀·2(sec u − 1)/u², u = kL/2.
#[test]
fn a_bow() {
    let mut pack = perfect();
    pack.bow.value = 0.003;
    let post = only(&judged(&held(library(4.0, "4.5 cm2", "")), &pack));
    let u = k_of(&post) * HEIGHT / 2.0;
    covers(post.moment, post.compression * 0.009 * 2.0 * (1.0 / u.cos() - 1.0) / (u * u));
}

/// Drawn out 2 m + 1 m, equal stiffness taken for the closed form: an angle ψ at a is an offset
/// ψ·a·b/L; its moment is N·ψ·sin ka·sin kb/(k·sin kL) (a bent bar between pins, from
/// m″ + k²m = 0 with a jump N·ψ of m′).
#[test]
fn the_play_of_a_telescope() {
    let mut pack = perfect();
    pack.telescope_play.value = 1.25;
    let mut drawn = library(2.0, "4.5 cm2", "pin_play: Some(\"0 mm\"),");
    let part = drawn.posts.get_mut("post").unwrap();
    part.inner.i = part.outer.i;
    let post = only(&judged(&held(drawn), &pack));
    // Inside from outside and area; overlap: inner tube of 4 − 2 + 0.3 m, 1 m of it above.
    let clearance = (0.089f64.powi(2) - 4.0 * 10.68e-4 / std::f64::consts::PI).sqrt() - 0.076;
    let angle = 1.25 * clearance / 1.3;
    // Somewhere in the overlap, from 0.7 m to 2 m: the middle of the post throws it out most.
    let angle = angle * (1.5 * 1.5) / (2.0 * 1.0);
    let k = k_of(&post);
    let kink = post.compression * angle * (k * 2.0).sin() * (k * 1.0).sin() / (k * (k * 3.0).sin());
    // The tubes lie side by side by half the clearance; added whole, grown by 1/(1 − N/N_cr).
    let step = post.compression * clearance / 2.0 / (1.0 - post.compression / post.critical);
    // The inner tube yields first: its own moment is at the joint at most.
    assert!(post.moment >= kink, "{} under {kink}", post.moment);
    let most = 1.03
        * (kink.max(post.compression * angle * (k * 2.0).sin() / (k * (k * 3.0).sin())))
        + step;
    assert!(post.moment <= most, "{} over {most}", post.moment);
}

/// What nobody states makes the strength unknown, never enough.
#[test]
fn a_post_without_its_pins_play_is_unknown() {
    let found = judged(&held(library(2.0, "4.5 cm2", "")), &perfect());
    assert!(matches!(found.strength.verdict, Verdict::Unknown(_)), "{:?}", found.strength);
    assert_eq!(found.strength.unknown.len(), 1);
    assert!(found.strength.posts.is_empty());
    assert_eq!(found.critical, Verdict::Met, "the elastic proof does not need it");
}

/// A frame of two posts and one thin diagonal, held across by ties.
fn portal(brace: &str) -> Site {
    let mut site = Site::default();
    site.library = library(4.0, brace, "");
    site.post("A1", 0.0, 0.0).post("B1", 2.0, 0.0);
    for post in ["A1", "B1"] {
        site.edit(post, |post| post.weight = 20e3);
    }
    site.ledger("A1", "B1");
    site.wall("A1", "B1");
    // Far away: a tie that is pressed pushes a swaying head on by its force over its length.
    tie(&mut site, "A1", [0.0, -50.0, HEIGHT]);
    tie(&mut site, "B1", [2.0, -50.0, HEIGHT]);
    site
}

/// Storey stiffness of one diagonal: EA/L·cos²θ. Source: statics.
fn storey(area: f64) -> f64 {
    let long = 13f64.sqrt();
    200e9 * area / long * (4.0 / 13.0)
}

/// AISC 360 B₂ = 1/(1 − ΣP/(S·h)) on the sway (memory); S by hand from the diagonal, whose give is
/// nearly all there is. Above it lies what the pressed diagonal adds, and the weight's own sway.
#[test]
fn sway_of_a_braced_frame_grows_as_b2_says() {
    let mut pack = perfect();
    pack.worker_push.value = Force(3000.0);
    let area = 0.1e-4;
    let found = judged(&portal("0.1 cm2"), &pack);
    let s = storey(area);
    let along: Vec<PostStrength> = found.strength.posts.iter().filter(|p| p.axis == 0).collect();
    assert_eq!(along.len(), 2, "{:?}", found.strength);
    // Half of each post's own weight is at its foot; the check takes all of it on its head.
    let load: f64 = along.iter().map(|p| p.compression).sum();
    let least = 3000.0 / s / (1.0 - 1.65 * (2.0 * 20e3) / (s * HEIGHT));
    let most = 3000.0 / s / (1.0 - load / (s * HEIGHT));
    for post in along {
        assert!(post.sway > least && post.sway < 1.04 * most, "{} in {least}..{most}", post.sway);
    }
}

/// The critical compression found post by post is on the safe side of the exact lowest factor of
/// the whole frame, and no further from it than the sum allows: half of the lesser of the two.
#[test]
fn critical_compression_is_a_lower_bound() {
    for (brace, area) in [("0.02 cm2", 0.02e-4), ("0.1 cm2", 0.1e-4), ("4.5 cm2", 4.5e-4)] {
        let pack = perfect();
        let site = portal(brace);
        let found = judged(&site, &pack);
        let (assembly, stage) = site.build();
        let frame = idealise::idealise(&assembly, &stage);
        let service = found.strength.posts.get(0).unwrap().service;
        let axial: Vec<f64> = frame
            .of
            .iter()
            .map(|&m| if assembly.member(m).is_post() { -service } else { 0.0 })
            .collect();
        let model = Model::new(&frame.frame, ElementForm::Exact, &[]).unwrap();
        let exact = model.lowest(&axial, 1).unwrap()[0].factor * service;
        let least = found.strength.posts.iter().map(|p| p.critical).fold(f64::INFINITY, f64::min);
        assert!(least <= exact * (1.0 + 1e-9), "{area}: {least} over {exact}");
        assert!(least >= 0.5 * exact, "{area}: {least} far under {exact}");
    }
}

/// Held at foot and head by stiff ties: K = 1 (AISC 360-22 Table C-A-7.1, case d).
#[test]
fn effective_length_of_a_held_post_is_its_height() {
    let post = only(&judged(&held(library(4.0, "4.5 cm2", "")), &perfect()));
    let k = post.effective_length / HEIGHT;
    assert!((1.0..1.01).contains(&k), "K = {k}");
}

const TOWER: [(&str, &str); 4] = [("A1", "B1"), ("A2", "B2"), ("A1", "A2"), ("B1", "B2")];

fn tower() -> Site {
    let mut site = Site::default();
    site.library = library(4.0, "4.5 cm2", "");
    for (name, x, y) in [("A1", 0.0, 0.0), ("B1", 2.0, 0.0), ("A2", 0.0, 2.0), ("B2", 2.0, 2.0)] {
        site.post(name, x, y);
    }
    for (a, b) in TOWER {
        site.ledger(a, b);
        site.wall(a, b);
        site.wall(b, a);
    }
    site
}

fn shares(site: &Site) -> Vec<(u8, f64, f64)> {
    let found = judged(site, &perfect());
    found.brace_lines.iter().map(|l| (l.axis, l.across, l.share)).collect()
}

/// Two equal lines each way: half each. Where the posts of one line weigh three times as much and
/// the plan is not stiffened, statics: each line holds its own.
#[test]
fn each_brace_line_has_its_share() {
    let equal = shares(&tower());
    assert_eq!(equal.len(), 4, "{equal:?}");
    for (_, _, share) in &equal {
        assert!((share - 0.5).abs() < 1e-9, "{equal:?}");
    }
    let mut heavy = tower();
    for post in ["A1", "B1"] {
        heavy.edit(post, |post| post.weight = 20e3);
    }
    let (assembly, stage) = heavy.build();
    let loads = take_down(&assembly, &perfect(), &stage);
    let foot = |name: &str| loads.at_foot[assembly.find(name).unwrap().index()];
    let near = foot("A1") + foot("B1");
    let expected = near / (near + foot("A2") + foot("B2"));
    let found = shares(&heavy);
    let along: Vec<_> = found.iter().filter(|l| l.0 == 0).collect();
    assert_eq!(along.len(), 2, "{found:?}");
    assert!((along[0].2 - expected).abs() < 0.01, "{found:?}, {expected} due");
    assert!((along[0].2 + along[1].2 - 1.0).abs() < 1e-12);
}

/// A post that moves freely is its mechanism's finding, and not among the strong ones.
#[test]
fn posts_that_move_freely_are_left_out() {
    let mut site = tower();
    site.post("C1", 4.0, 0.0);
    let found = judged(&site, &perfect());
    let (assembly, _) = site.build();
    let loose: MemberId = assembly.find("C1").unwrap();
    assert!(found.strength.of(loose).is_empty());
    assert_eq!(found.strength.posts.len(), 8);
}
