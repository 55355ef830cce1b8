//! Small layouts built by hand: members and joints with their states, turned into an assembly and
//! one stage. All numbers are invented.

use standwell::assembly::model::Point;
use standwell::assembly::{Assembly, Joint, JointId, JointKind, Member, MemberId, Role};
use standwell::criteria::Pack;
use standwell::criteria::model::{Rule, Seen};
use standwell::equipment::Library;
use standwell::equipment::model::Passes;
use standwell::scene::Scene;
use standwell::scene::model::LoadText;
use standwell::sequence::model::StageLoad;
use standwell::sequence::{JointState, MemberState, Stage};
use standwell::units::{Angle, Density, Force, Length, Mass, Pressure, Speed};

pub const FT: f64 = 0.3048;
pub const LB: f64 = 4.448_221_615_260_5;
pub const PLF: f64 = LB / FT;

pub const BEARING: Passes = Passes { bearing: true, along: false, across: false, uplift: None };
pub const HOOKED: Passes = Passes { bearing: true, along: true, across: true, uplift: None };

/// What a joint passes when it also holds down.
pub fn holding(force: f64) -> Passes {
    Passes { uplift: Some(Force(force)), ..HOOKED }
}

struct Part {
    member: Member,
    state: MemberState,
}

struct Link {
    kind: JointKind,
    member: String,
    carrier: Option<String>,
    at: [f64; 2],
    clip: Option<String>,
    passes: Passes,
    state: JointState,
}

/// A layout in the making.
#[derive(Default)]
pub struct Site {
    parts: Vec<Part>,
    links: Vec<Link>,
    nailed: Vec<String>,
    pub scene: Option<Scene>,
    pub library: Library,
    pub loads: Vec<LoadText>,
}

pub fn empty_scene() -> Scene {
    Scene {
        format: 1,
        title: "hand-made".into(),
        about: String::new(),
        units: standwell::units::UnitSystem::Metres,
        equipment: Vec::new(),
        criteria: "test".into(),
        options: Vec::new(),
        crew: standwell::scene::model::Crew::default(),
        floors: Vec::new(),
        slabs: Vec::new(),
        permanent: Vec::new(),
        wind: None,
        surroundings: standwell::scene::model::Surroundings::default(),
        blocks: Vec::new(),
        members: Vec::new(),
        levels: None,
        sequence: Vec::new(),
        accepted: Vec::new(),
        changes: Vec::new(),
    }
}

impl Site {
    pub fn member(
        &mut self,
        name: &str,
        role: Role,
        a: [f64; 3],
        b: [f64; 3],
        weight: f64,
    ) -> &mut Self {
        self.parts.push(Part {
            member: Member {
                id: MemberId(0),
                name: name.into(),
                role,
                block: None,
                grid: None,
                part: format!("{role:?}").to_lowercase(),
                ends: [Point::new(a[0], a[1], a[2]), Point::new(b[0], b[1], b[2])],
                weight,
                damaged: false,
                tension_only: false,
                jack: None,
                off_sill: [0.0; 2],
                written_at: 0..0,
            },
            state: MemberState::Standing,
        });
        self
    }

    pub fn edit(&mut self, name: &str, change: impl FnOnce(&mut Member)) -> &mut Self {
        change(&mut self.part(name).member);
        self
    }

    pub fn state(&mut self, name: &str, state: MemberState) -> &mut Self {
        self.part(name).state = state;
        self
    }

    fn part(&mut self, name: &str) -> &mut Part {
        self.parts.iter_mut().find(|p| p.member.name == name).expect(name)
    }

    fn get(&self, name: &str) -> &Member {
        &self.parts.iter().find(|p| p.member.name == name).expect(name).member
    }

    /// A joint at stations of its two members.
    pub fn joint(
        &mut self,
        kind: JointKind,
        member: &str,
        member_at: f64,
        carrier: Option<(&str, f64)>,
        passes: Passes,
        state: JointState,
    ) -> &mut Self {
        self.links.push(Link {
            kind,
            member: member.into(),
            carrier: carrier.map(|c| c.0.to_owned()),
            at: [member_at, carrier.map_or(0.0, |c| c.1)],
            clip: None,
            passes,
            state,
        });
        self
    }

    /// A post on the ground, 3 m tall, 200 N.
    pub fn post(&mut self, name: &str, x: f64, y: f64) -> &mut Self {
        self.member(name, Role::Post, [x, y, 0.0], [x, y, 3.0], 200.0).joint(
            JointKind::Ground,
            name,
            0.0,
            None,
            BEARING,
            JointState::Hung,
        )
    }

    fn head(&self, post: &str) -> [f64; 3] {
        let p = self.get(post).ends[1];
        [p.x, p.y, p.z]
    }

    /// A beam from head to head, hooked and locked in both, 100 N.
    pub fn beam(&mut self, role: Role, a: &str, b: &str) -> String {
        let name = format!("{}.{a}-{b}", format!("{role:?}").to_lowercase());
        let (p, q) = (self.head(a), self.head(b));
        self.member(&name, role, p, q, 100.0);
        let length = self.get(&name).length();
        for (post, at) in [(a, 0.0), (b, length)] {
            let height = self.get(post).length();
            self.joint(
                JointKind::Head,
                &name,
                at,
                Some((post, height)),
                HOOKED,
                JointState::Locked,
            );
        }
        name
    }

    pub fn ledger(&mut self, a: &str, b: &str) -> String {
        self.beam(Role::Ledger, a, b)
    }

    pub fn plan(&mut self, a: &str, b: &str) -> String {
        self.beam(Role::PlanBrace, a, b)
    }

    /// A diagonal from the foot of a to the head of b, both couplers home, 60 N.
    pub fn wall(&mut self, a: &str, b: &str) -> String {
        let name = format!("brace.{a}-{b}");
        let p = self.get(a).ends[0];
        self.member(&name, Role::Brace, [p.x, p.y, p.z], self.head(b), 60.0);
        let length = self.get(&name).length();
        let height = self.get(b).length();
        self.joint(JointKind::Coupler, &name, 0.0, Some((a, 0.0)), HOOKED, JointState::Locked);
        self.joint(
            JointKind::Coupler,
            &name,
            length,
            Some((b, height)),
            HOOKED,
            JointState::Locked,
        );
        name
    }

    /// Names the clip member of the last joint.
    pub fn with_clip(&mut self, clip: &str) -> &mut Self {
        self.links.last_mut().expect("a joint").clip = Some(clip.into());
        self
    }

    pub fn nail(&mut self, sheet: &str) -> &mut Self {
        self.nailed.push(sheet.into());
        self
    }

    pub fn set_joint(&mut self, member: &str, carrier: &str, state: JointState) -> &mut Self {
        for link in &mut self.links {
            if link.member == member && link.carrier.as_deref() == Some(carrier) {
                link.state = state;
            }
        }
        self
    }

    /// State of the joint that a clip makes.
    pub fn set_clip(&mut self, clip: &str, state: JointState) -> &mut Self {
        for link in &mut self.links {
            if link.clip.as_deref() == Some(clip) {
                link.state = state;
            }
        }
        self
    }

    pub fn build(&self) -> (Assembly, Stage) {
        let mut sorted: Vec<&Part> = self.parts.iter().collect();
        sorted.sort_by(|a, b| a.member.name.cmp(&b.member.name));
        let id = |name: &str| {
            let at = sorted.iter().position(|p| p.member.name == name).expect(name);
            MemberId(u32::try_from(at).expect("few"))
        };
        let members: Vec<Member> =
            sorted.iter().map(|p| Member { id: id(&p.member.name), ..p.member.clone() }).collect();
        let mut links: Vec<&Link> = self.links.iter().collect();
        links.sort_by(|a, b| {
            id(&a.member)
                .cmp(&id(&b.member))
                .then(a.at[0].total_cmp(&b.at[0]))
                .then(a.kind.cmp(&b.kind))
        });
        let joints: Vec<Joint> = links
            .iter()
            .enumerate()
            .map(|(i, l)| Joint {
                id: JointId(u32::try_from(i).expect("few")),
                kind: l.kind,
                member: id(&l.member),
                member_at: l.at[0],
                carrier: l.carrier.as_deref().map(id),
                carrier_at: l.at[1],
                at: members[id(&l.member).index()].at(l.at[0]),
                clip: l.clip.as_deref().map(id),
                hung: Passes { along: false, across: false, ..l.passes },
                locked: l.passes,
                lowered: BEARING,
                found: false,
            })
            .collect();
        let stage = Stage {
            index: 0,
            step: "finished".into(),
            title: String::new(),
            members: sorted.iter().map(|p| p.state).collect(),
            joints: links.iter().map(|l| l.state).collect(),
            head_locked: members.iter().map(Member::is_post).collect(),
            nailed: members.iter().map(|m| self.nailed.contains(&m.name)).collect(),
            loads: self
                .loads
                .iter()
                .map(|text| StageLoad { text: text.clone(), since_step: 0 })
                .collect(),
            placing: Default::default(),
            people: Vec::new(),
            touched: Vec::new(),
            released: Vec::new(),
            removed: Vec::new(),
            hands_needed: 0,
            crew: 3,
            removed_under: Vec::new(),
            loaded_unlocked: Vec::new(),
            strip: standwell::sequence::StripState::default(),
            level_steps: 0..0,
            written_at: 0..0,
        };
        let scene = self.scene.clone().unwrap_or_else(empty_scene);
        (Assembly::new(scene, self.library.clone(), members, joints), stage)
    }
}

/// A stage with all of an assembly standing, every joint home, nothing nailed.
pub fn finished(assembly: &Assembly) -> Stage {
    Stage {
        members: vec![MemberState::Standing; assembly.members.len()].into(),
        joints: vec![JointState::Locked; assembly.joints.len()].into(),
        head_locked: assembly.members.iter().map(Member::is_post).collect(),
        nailed: vec![false; assembly.members.len()].into(),
        ..Site::default().build().1
    }
}

fn rule<T>(value: T) -> Rule<T> {
    Rule {
        value,
        source: "test".into(),
        seen: Seen::Practice,
        note: String::new(),
        from: String::new(),
    }
}

/// Round numbers near US practice; the rest is the shipped US pack.
pub fn pack() -> Pack {
    let shipped: Pack = ron::from_str(include_str!("../../assets/criteria/us.ron")).unwrap();
    Pack {
        extends: None,
        format: 1,
        name: "test".into(),
        title: "test".into(),
        region: "test".into(),
        concrete: rule(Density(25_000.0)),
        live_load: rule(Pressure(2_400.0)),
        access_load: rule(Pressure(0.0)),
        combined_minimum: rule(Pressure(4_800.0)),
        lateral_share: rule(0.02),
        lateral_edge: rule(None),
        worker_weight: rule(Force(250.0 * LB)),
        worker_push: rule(Force(50.0 * LB)),
        workers_on_overhang: rule(2),
        rail_force: rule(Force(200.0 * LB)),
        working_wind: rule(Speed(10.0)),
        critical_factor: rule(2.0),
        overturning: rule(1.5),
        sliding: rule(1.5),
        friction: rule(0.3),
        out_of_plumb: rule(Angle(0.01)),
        slenderness: rule(200.0),
        factor_on_characteristic: rule(1.65),
        factor_on_ultimate: rule(2.5),
        use_of_capacity: rule(0.85),
        diagonals_above: Vec::<Rule<Length>>::new(),
        engineer_above: Vec::new(),
        lift_weight: rule(Mass(25.0)),
        hand_force: rule(Force(200.0)),
        fall_height: rule(Length(1.8)),
        head_eccentricity: rule(Length(0.025)),
        telescope_play: rule(1.25),
        bow: rule(0.002),
        yield_factor: rule(1.65),
        strip_by_time: rule(false),
        plate_off_sill: rule(0.25),
        layer_height: rule(Length(0.5)),
        aliases: std::collections::BTreeMap::default(),
        ..shipped
    }
}
