//! Changes one may want to try from where one stands: at a stage, at a member, from a finding.
//!
//! Known to work by `tests/changes/offers.rs`: every offer for every member of the shipped jobs,
//! at several stages, can be made, and does to that member what it says.

use crate::assembly::{Assembly, JointKind, MemberId, Role};
use crate::findings::{Finding, RemedyKind};
use crate::scene::model::{ChangeKind, Permanent, PermanentKind, Place, RoleName, SingleMember};
use crate::sequence::{MemberState, Sequence, Stage};
use crate::units::Length;

/// Something to try, with the words on its button.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    pub words: String,
    pub change: ChangeKind,
}

fn offer(words: impl Into<String>, change: ChangeKind) -> Offer {
    Offer { words: words.into(), change }
}

/// Where one stands.
#[derive(Clone, Copy)]
pub struct Here<'a> {
    pub assembly: &'a Assembly,
    pub sequence: &'a Sequence,
    pub stage: &'a Stage,
}

impl Here<'_> {
    fn step(&self) -> String {
        self.stage.step.clone()
    }
    /// Whether steps can be named.
    fn has_steps(&self) -> bool {
        !self.sequence.finished_only
    }
    fn there(&self, id: MemberId) -> bool {
        self.stage.state(id).is_there()
    }
}

/// What can be tried with a member.
#[must_use]
pub fn of_member(here: Here<'_>, id: MemberId) -> Vec<Offer> {
    let member = here.assembly.member(id);
    let mut all = Vec::new();
    match member.role {
        Role::Post | Role::Prop => {
            hands(here, id, &mut all);
            braces(here, id, &mut all);
            beams(here, id, &mut all);
            ties(here, id, &mut all);
        }
        _ => {
            presence(here, id, &mut all);
            clips(here, id, &mut all);
        }
    }
    all
}

/// Leaving out, taking away, putting in.
fn presence(here: Here<'_>, id: MemberId, all: &mut Vec<Offer>) {
    let member = here.assembly.member(id);
    let name = || member.name.clone();
    all.push(offer("Leave it out from the start", ChangeKind::TakeOut(name())));
    if !here.has_steps() {
        return;
    }
    let in_step = here.step();
    if here.there(id) {
        all.push(offer(
            "Take it away after this step",
            ChangeKind::TakeAway { member: name(), in_step },
        ));
    } else if !matches!(member.role, Role::Sill | Role::Sheet)
        && super::put_in::carriers(here.assembly, id).into_iter().all(|c| here.there(c))
    {
        all.push(offer("Put it in in this step", ChangeKind::PutIn { member: name(), in_step }));
    }
}

/// Holding on and letting go.
fn hands(here: Here<'_>, id: MemberId, all: &mut Vec<Offer>) {
    if !here.has_steps() {
        return;
    }
    let name = here.assembly.name(id);
    let (member, from) = (name.to_owned(), here.step());
    match here.stage.state(id) {
        MemberState::Absent => {}
        MemberState::Held(_) => {
            all.push(offer(
                "Take hands off in this step",
                ChangeKind::Release { member, in_step: from },
            ));
        }
        MemberState::Standing => {
            let next = here.sequence.stages.get(here.stage.index + 1);
            if let Some(next) = next {
                let until = Some(next.step.clone());
                let words = format!("Keep it in hand until the end of {}", next.step);
                let member = member.clone();
                let from = from.clone();
                all.push(offer(words, ChangeKind::Hold { member, hands: 1, from, until }));
            }
            all.push(offer(
                "Keep it in hand from here on",
                ChangeKind::Hold { member, hands: 1, from, until: None },
            ));
        }
    }
}

/// Posts next to this one in its block, with the bay between as `C4-D4`, lower end first.
fn neighbours(assembly: &Assembly, id: MemberId) -> Vec<(MemberId, String)> {
    let member = assembly.member(id);
    let (Some(block), Some((at, _))) = (&member.block, &member.grid) else { return Vec::new() };
    let Some(block) = assembly.scene.blocks.iter().find(|b| b.name == *block) else {
        return Vec::new();
    };
    let Ok(grid) = crate::scene::Grid::of(block) else { return Vec::new() };
    let Ok(here) = grid.point(at) else { return Vec::new() };
    let steps: [(isize, isize); 4] = [(-1, 0), (1, 0), (0, -1), (0, 1)];
    let mut found = Vec::new();
    for (dx, dy) in steps {
        let (Some(x), Some(y)) = (here.x.checked_add_signed(dx), here.y.checked_add_signed(dy))
        else {
            continue;
        };
        let Some(other) = grid.name(crate::scene::GridPoint { x, y }) else { continue };
        let Some(post) = assembly.find(&format!("{}.post.{other}", block.name)) else { continue };
        let bay = if dx + dy < 0 { format!("{other}-{at}") } else { format!("{at}-{other}") };
        found.push((post, bay));
    }
    found
}

/// Bays at this post without diagonals.
fn braces(here: Here<'_>, id: MemberId, all: &mut Vec<Offer>) {
    let assembly = here.assembly;
    let Some(name) = assembly.member(id).block.clone() else { return };
    let own = assembly.scene.blocks.iter().find(|b| b.name == name).and_then(|b| b.brace.clone());
    for (other, bay) in neighbours(assembly, id) {
        let stem = format!("{name}.brace.{bay}.");
        let of_bay: Vec<&str> = assembly.names().filter(|n| n.starts_with(&stem)).collect();
        if of_bay.is_empty() {
            let part = match &own {
                Some(_) => None,
                None => match brace_for(assembly, spacing(assembly, id, other)) {
                    Some(part) => Some(part),
                    None => continue,
                },
            };
            let change = ChangeKind::AddBraces {
                block: name.clone(),
                bay: bay.clone(),
                part,
                in_step: None,
            };
            all.push(offer(format!("Brace {bay}"), change));
        } else if here.has_steps()
            && here.there(id)
            && here.there(other)
            && of_bay.iter().any(|n| assembly.find(n).is_some_and(|b| !here.there(b)))
        {
            let change = ChangeKind::PutIn { member: format!("{stem}*"), in_step: here.step() };
            all.push(offer(format!("Brace {bay} in this step"), change));
        }
    }
}

/// Distance in plan of two posts' heads, metres.
fn spacing(assembly: &Assembly, a: MemberId, b: MemberId) -> f64 {
    let run = assembly.member(b).ends[1] - assembly.member(a).ends[1];
    run.x.hypot(run.y)
}

/// A brace part whose lengths include one that spans so far and rises by half of that.
fn brace_for(assembly: &Assembly, span: f64) -> Option<String> {
    let fits = |length: f64| {
        assembly
            .library
            .braces
            .iter()
            .find(|(_, b)| b.length.0.si() <= length && length <= b.length.1.si())
            .map(|(name, _)| name.clone())
    };
    [1.5, 1.25, 1.1, 1.0].into_iter().find_map(|slant| fits(span * slant))
}

/// Beams between this post's head and a neighbour's, where the scene has none.
fn beams(here: Here<'_>, id: MemberId, all: &mut Vec<Offer>) {
    let assembly = here.assembly;
    let carries = |post: MemberId| {
        let joints = assembly.joints_of(post).iter().map(|&j| assembly.joint(j));
        joints
            .filter(move |j| j.carrier == Some(post) && j.kind == JointKind::Head)
            .map(|j| j.member)
            .collect::<Vec<_>>()
    };
    for (other, bay) in neighbours(assembly, id) {
        let both: Vec<MemberId> = {
            let theirs = carries(other);
            carries(id).into_iter().filter(|b| theirs.contains(b)).collect()
        };
        if let Some(&beam) = both.iter().find(|&&b| !here.there(b)) {
            if here.has_steps() && here.there(id) && here.there(other) {
                let member = assembly.name(beam).to_owned();
                let change = ChangeKind::PutIn { member, in_step: here.step() };
                all.push(offer(format!("Put the beam {bay} in in this step"), change));
            }
            continue;
        }
        let level = (assembly.member(id).ends[1].z - assembly.member(other).ends[1].z).abs() < 0.01;
        let part = assembly.library.beams.iter().find(|(_, b)| {
            (b.length.si() - spacing(assembly, id, other)).abs() <= crate::equipment::FIT
        });
        let name = format!("added-beam.{bay}");
        if let (true, true, Some((part, _)), None) =
            (both.is_empty(), level, part, assembly.find(&name))
        {
            let head = |post| Place::Head(assembly.name(post).to_owned());
            let member = SingleMember {
                name,
                role: RoleName::Joist,
                part: part.clone(),
                from: head(id),
                to: Some(head(other)),
                sill: None,
                damaged: false,
            };
            let change = ChangeKind::AddMember { member, in_step: None };
            all.push(offer(format!("Add a {part} {bay}"), change));
        }
    }
}

/// Hold-down clips for a beam that runs on past its last post and has none: at the post behind
/// that one, where it would lift.
fn clips(here: Here<'_>, id: MemberId, all: &mut Vec<Offer>) {
    /// A beam that runs on by less rests on its last post, metres.
    const RUNS_ON: f64 = 0.05;
    let assembly = here.assembly;
    let beam = assembly.member(id);
    let of_beam = || assembly.joints_of(id).iter().map(|&j| assembly.joint(j));
    let of_beam = || of_beam().filter(|j| j.member == id);
    if of_beam().any(|j| j.kind == JointKind::Clip) {
        return;
    }
    let heads = of_beam().filter(|j| j.kind == JointKind::Head);
    let mut heads: Vec<(f64, MemberId)> =
        heads.filter_map(|j| Some((j.member_at, j.carrier?))).collect();
    heads.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (Some(first), Some(last)) = (heads.first(), heads.last()) else { return };
    let behind = match heads.len() {
        2.. if last.0 < beam.length() - RUNS_ON => heads[heads.len() - 2],
        2.. if first.0 > RUNS_ON => heads[1],
        _ => return,
    };
    for part in assembly.library.clips.keys() {
        let name = format!("added-clip.{}.{part}", beam.name).replace([' ', '*'], "-");
        if assembly.find(&name).is_some() {
            continue;
        }
        let post = assembly.name(behind.1).to_owned();
        let member = SingleMember {
            name,
            role: RoleName::Clip,
            part: part.clone(),
            from: Place::Head(post.clone()),
            to: Some(Place::On(beam.name.clone(), Length(behind.0))),
            sill: None,
            damaged: false,
        };
        let change = ChangeKind::AddMember { member, in_step: None };
        all.push(offer(format!("Clip it down at {post} ({part})"), change));
    }
}

/// Ties to the nearest permanent works.
fn ties(here: Here<'_>, id: MemberId, all: &mut Vec<Offer>) {
    const MOST: usize = 2;
    let assembly = here.assembly;
    let post = assembly.member(id);
    let height = post.length() * 0.75;
    let at = post.at(height);
    let mut near: Vec<(f64, &Permanent)> = (assembly.scene.permanent.iter())
        .filter(|p| (p.from.si()..=p.to.si()).contains(&at.z))
        .map(|p| (distance(p, [at.x, at.y]), p))
        .collect();
    near.sort_by(|a, b| a.0.total_cmp(&b.0));
    for (far, permanent) in near.into_iter().take(MOST) {
        let part = assembly
            .library
            .braces
            .iter()
            .find(|(_, b)| b.length.0.si() <= far && far <= b.length.1.si());
        let name = format!("added-tie.{}.{}", post.name.replace(['.', ' '], "-"), permanent.name);
        let name = name.replace([' ', '*'], "-");
        let (Some((part, _)), None) = (part, assembly.find(&name)) else { continue };
        let member = SingleMember {
            name,
            role: RoleName::TieIn,
            part: part.clone(),
            from: Place::On(post.name.clone(), Length(height)),
            to: Some(Place::Permanent(permanent.name.clone(), Length(at.z))),
            sill: None,
            damaged: false,
        };
        let change = ChangeKind::AddMember { member, in_step: None };
        all.push(offer(format!("Tie it to {}", permanent.name), change));
    }
}

/// Plan distance to a column's or wall's face.
fn distance(permanent: &Permanent, at: [f64; 2]) -> f64 {
    match &permanent.kind {
        PermanentKind::Column { at: middle, size } => {
            let off = |a: f64, m: Length, s: Length| ((a - m.si()).abs() - s.si() / 2.0).max(0.0);
            off(at[0], middle.0, size.0).hypot(off(at[1], middle.1, size.1))
        }
        PermanentKind::Wall { from, to, thickness } => {
            let (a, b) = ([from.0.si(), from.1.si()], [to.0.si(), to.1.si()]);
            let run = [b[0] - a[0], b[1] - a[1]];
            let length = run[0].mul_add(run[0], run[1] * run[1]);
            let share = if length > 0.0 {
                (((at[0] - a[0]) * run[0] + (at[1] - a[1]) * run[1]) / length).clamp(0.0, 1.0)
            } else {
                0.0
            };
            let nearest = [a[0] + run[0] * share, a[1] + run[1] * share];
            ((at[0] - nearest[0]).hypot(at[1] - nearest[1]) - thickness.si() / 2.0).max(0.0)
        }
    }
}

/// What can be tried with the step that leads to a stage.
#[must_use]
pub fn of_stage(here: Here<'_>) -> Vec<Offer> {
    let mut all = Vec::new();
    if !here.has_steps() {
        return all;
    }
    let step_at = |i: usize| here.sequence.stages.get(i).map(|s| s.step.clone());
    let at = here.stage.index;
    if let Some(before) = at.checked_sub(1).and_then(step_at) {
        let words = format!("Do this step before {before}");
        all.push(offer(words, ChangeKind::MoveStep { step: here.step(), before: Some(before) }));
    }
    if let Some(next) = step_at(at + 1) {
        let words = format!("Do this step after {next}");
        let change = ChangeKind::MoveStep { step: here.step(), before: step_at(at + 2) };
        all.push(offer(words, change));
    }
    for load in &here.stage.loads {
        let name = load.text.name.clone();
        all.push(offer(format!("Never put {name} on"), ChangeKind::TakeOffLoad(name)));
    }
    all
}

/// What can be tried with the members a finding is about, the first few of them: first what its
/// cures name, in their order.
#[must_use]
pub fn of_finding(here: Here<'_>, finding: &Finding) -> Vec<Offer> {
    const MEMBERS: usize = 4;
    let mut all: Vec<Offer> = Vec::new();
    let wants = |kinds: &[RemedyKind]| finding.remedies.iter().any(|r| kinds.contains(&r.kind));
    let bracing = wants(&[RemedyKind::Brace, RemedyKind::Tie]);
    let post = |name: &&String| {
        here.assembly.find(name).is_some_and(|id| here.assembly.member(id).is_post())
    };
    // What a brace or tie helps are posts, those that are in hand before it came to this first.
    let mut names: Vec<&String> = Vec::new();
    if bracing && !finding.subjects.first().as_ref().is_some_and(post) {
        names.extend(finding.others.iter().chain(&finding.subjects).filter(post));
    }
    names.extend(&finding.subjects);
    for name in names.into_iter().take(MEMBERS) {
        let Some(id) = here.assembly.find(name) else { continue };
        let role = here.assembly.member(id).role;
        let braces = matches!(role, Role::Brace | Role::PlanBrace | Role::TieIn);
        for mut offer in of_member(here, id) {
            // To take bracing out where it is asked for is no cure.
            let out = matches!(offer.change, ChangeKind::TakeOut(_) | ChangeKind::TakeAway { .. });
            if bracing && braces && out {
                continue;
            }
            // The button says of which member, where that is not in its words.
            if offer.words.contains("it") && offer.words.split(' ').any(|w| w == "it") {
                offer.words = offer.words.replacen(" it ", &format!(" {name} "), 1);
            }
            if !all.iter().any(|o| o.change == offer.change) {
                all.push(offer);
            }
        }
    }
    // A bay between two of them before one that leads away.
    let about = |post: &str| finding.others.iter().chain(&finding.subjects).any(|n| n == post);
    let leads_away = |offer: &Offer| match &offer.change {
        ChangeKind::AddBraces { block, bay, .. } => !bay
            .split_once('-')
            .is_some_and(|(a, b)| [a, b].iter().all(|at| about(&format!("{block}.post.{at}")))),
        _ => false,
    };
    all.sort_by_key(leads_away);
    super::order::by_cure(here.assembly, finding, &mut all);
    all
}
