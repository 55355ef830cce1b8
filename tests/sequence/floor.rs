//! A small floor laid out by hand: posts on a grid 2 m apart, 3 m high, ledgers along x, joists
//! along y, and whatever else a test asks for.

use standwell::assembly::model::Point;
use standwell::assembly::{Assembly, Joint, JointId, JointKind, Member, MemberId, Role};
use standwell::equipment::Library;
use standwell::equipment::model::Passes;
use standwell::scene::model::StepText;
use standwell::scene::{Problems, SceneSource};
use standwell::scene::{Scene, typed};
use standwell::sequence::{self, Sequence};

const XS: [&str; 8] = ["A", "B", "C", "D", "E", "F", "G", "H"];

/// What the floor has.
#[derive(Clone, Default)]
pub struct Floor {
    pub nx: usize,
    pub ny: usize,
    /// Bays with two diagonals, `"A1-B1"`; `"*"` for all.
    pub braced: Vec<&'static str>,
    pub plan: Vec<&'static str>,
    pub sills: bool,
    pub fillers: usize,
    pub sheets: bool,
    /// The last ledger of each row runs on by 0.5 m and has a clip.
    pub clips: bool,
    pub slab: bool,
}

struct Draft {
    name: String,
    role: Role,
    ends: [Point; 2],
    joints: Vec<(JointKind, f64, Option<String>, Option<String>)>,
}

impl Floor {
    pub fn new(nx: usize, ny: usize) -> Self {
        Self { nx, ny, ..Self::default() }
    }

    pub fn braced(mut self, bays: &[&'static str]) -> Self {
        self.braced = bays.to_vec();
        self
    }

    /// The assembly with this text as its sequence.
    pub fn with(&self, sequence: &str) -> Assembly {
        let mut drafts = self.drafts();
        drafts.sort_by(|a, b| a.name.cmp(&b.name));
        let id = |name: &str| {
            let at = drafts.iter().position(|d| d.name == name).unwrap();
            MemberId(u32::try_from(at).unwrap())
        };
        let mut joints = Vec::new();
        for draft in &drafts {
            for (kind, at, carrier, clip) in &draft.joints {
                joints.push(Joint {
                    id: JointId(u32::try_from(joints.len()).unwrap()),
                    kind: *kind,
                    member: id(&draft.name),
                    member_at: *at,
                    carrier: carrier.as_deref().map(id),
                    carrier_at: 0.0,
                    at: Point::origin(),
                    clip: clip.as_deref().map(id),
                    // Beams are hooked; braces hold once they are connected.
                    hung: Passes { along: *kind == JointKind::Head, ..Passes::default() },
                    locked: Passes { along: true, ..Passes::default() },
                    lowered: Passes::default(),
                    found: false,
                });
            }
        }
        let members = drafts
            .iter()
            .map(|d| Member {
                id: id(&d.name),
                name: d.name.clone(),
                role: d.role,
                block: Some("main".to_owned()),
                grid: None,
                part: "post".to_owned(),
                ends: d.ends,
                weight: 100.0,
                damaged: false,
                tension_only: false,
                jack: None,
                off_sill: [0.0, 0.0],
                written_at: 0..0,
            })
            .collect();
        Assembly::new(self.scene(sequence), library(), members, joints)
    }

    pub fn run(&self, sequence: &str) -> Result<Sequence, Problems> {
        sequence::run(&self.with(sequence), &SceneSource::default())
    }

    pub fn expand(&self, sequence: &str) -> Result<Vec<StepText>, Problems> {
        let assembly = self.with(sequence);
        sequence::expand(&assembly.scene, &assembly)
    }

    pub fn scene(&self, sequence: &str) -> Scene {
        let last = XS[self.nx];
        let slabs = if self.slab {
            r#"slabs: [(name: "level-2", soffit: "3 m", thickness: "0.2 m", outline: [])],"#
        } else {
            ""
        };
        read(&format!(
            r#"(format: 1, title: "test", equipment: [], criteria: "us", {slabs}
                blocks: [(name: "main", x: (lines: "A..{last}", every: "2 m"),
                    y: (lines: "1..{}", every: "2 m"), stands_on: "floor", head: "3 m",
                    post: "post", ledger: ["ledger"])],
                sequence: [{sequence}])"#,
            self.ny + 1
        ))
    }

    fn drafts(&self) -> Vec<Draft> {
        let mut all = Vec::new();
        for i in 0..=self.nx {
            for j in 0..=self.ny {
                self.post(i, j, &mut all);
            }
        }
        all
    }

    fn post(&self, i: usize, j: usize, all: &mut Vec<Draft>) {
        let p = label(i, j);
        let ground = (JointKind::Ground, 0.0, None, None);
        if self.sills {
            let name = format!("main.sill.{p}");
            all.push(draft(&name, Role::Sill, [foot(i, j), foot(i, j)], vec![ground.clone()]));
        }
        let base = if self.sills {
            (JointKind::Foot, 0.0, Some(format!("main.sill.{p}")), None)
        } else {
            ground
        };
        all.push(draft(&post_name(i, j), Role::Post, [foot(i, j), head(i, j)], vec![base]));
        let mut bays = Vec::new();
        if i < self.nx {
            bays.push((i + 1, j, "ledger", Role::Ledger));
        }
        if j < self.ny {
            bays.push((i, j + 1, "joist", Role::Joist));
        }
        for (k, l, word, role) in bays {
            let bay = format!("{p}-{}", label(k, l));
            let mut ends = vec![
                (JointKind::Head, 0.0, Some(post_name(i, j)), None),
                (JointKind::Head, 2.0, Some(post_name(k, l)), None),
            ];
            if self.clips && role == Role::Ledger && k == self.nx {
                let clip = format!("main.clip.{}", label(k, l));
                ends.push((JointKind::Clip, 2.0, Some(post_name(k, l)), Some(clip.clone())));
                all.push(draft(&clip, Role::Clip, [head(k, l), head(k, l)], Vec::new()));
            }
            all.push(draft(&format!("main.{word}.{bay}"), role, [head(i, j), head(k, l)], ends));
            if self.braced.contains(&bay.as_str()) || self.braced == ["*"] {
                for (end, from, to) in [("a", (i, j), (k, l)), ("b", (k, l), (i, j))] {
                    let couplers = vec![
                        (JointKind::Coupler, 0.0, Some(post_name(from.0, from.1)), None),
                        (JointKind::Coupler, 3.6, Some(post_name(to.0, to.1)), None),
                    ];
                    let line = [foot(from.0, from.1), head(to.0, to.1)];
                    let name = format!("main.brace.{bay}.{end}");
                    all.push(draft(&name, Role::Brace, line, couplers));
                }
            }
        }
        if i < self.nx && j < self.ny {
            self.cell(i, j, all);
        }
    }

    fn cell(&self, i: usize, j: usize, all: &mut Vec<Draft>) {
        let cell = format!("{}-{}", label(i, j), label(i + 1, j + 1));
        if self.plan.contains(&cell.as_str()) {
            let couplers = vec![
                (JointKind::Coupler, 0.0, Some(post_name(i, j)), None),
                (JointKind::Coupler, 2.8, Some(post_name(i + 1, j + 1)), None),
            ];
            let line = [head(i, j), head(i + 1, j + 1)];
            all.push(draft(&format!("main.plan.{cell}"), Role::PlanBrace, line, couplers));
        }
        let ledger = |j: usize| format!("main.ledger.{}-{}", label(i, j), label(i + 1, j));
        for k in 1..=self.fillers {
            let rests = vec![
                (JointKind::Rest, 0.0, Some(ledger(j)), None),
                (JointKind::Rest, 2.0, Some(ledger(j + 1)), None),
            ];
            let line = [head(i, j), head(i, j + 1)];
            all.push(draft(&format!("main.filler.{cell}.{k}"), Role::Filler, line, rests));
        }
        if self.sheets {
            let joist = |i: usize| format!("main.joist.{}-{}", label(i, j), label(i, j + 1));
            let rests = vec![
                (JointKind::Rest, 0.0, Some(joist(i)), None),
                (JointKind::Rest, 2.0, Some(joist(i + 1)), None),
            ];
            let line = [head(i, j), head(i + 1, j + 1)];
            all.push(draft(&format!("main.sheet.{cell}.1"), Role::Sheet, line, rests));
        }
    }
}

fn draft(
    name: &str,
    role: Role,
    ends: [Point; 2],
    joints: Vec<(JointKind, f64, Option<String>, Option<String>)>,
) -> Draft {
    Draft { name: name.to_owned(), role, ends, joints }
}

fn label(i: usize, j: usize) -> String {
    format!("{}{}", XS[i], j + 1)
}
fn post_name(i: usize, j: usize) -> String {
    format!("main.post.{}", label(i, j))
}
fn foot(i: usize, j: usize) -> Point {
    Point::new(2.0 * i as f64, 2.0 * j as f64, 0.0)
}
fn head(i: usize, j: usize) -> Point {
    Point::new(2.0 * i as f64, 2.0 * j as f64, 3.0)
}

/// A scene from its text, read as scenes are.
fn read(text: &str) -> Scene {
    match typed::read(&SceneSource::new("test.ron", text).unwrap()) {
        typed::Typed::Fits(scene) => scene,
        typed::Typed::Misfits(found) => panic!("{:?}", found.misfits),
    }
}

/// One post with a locking drop head; other parts play no role here.
fn library() -> Library {
    ron::from_str(
        r#"(format: 1, title: "test", sample: true, posts: { "post": (
            mass: "30 kg", reach: ("2 m", "4 m"),
            outer: (outside: "89 mm", area: "10 cm2", i: "90 cm4", e: "200 GPa", fy: "240 MPa"),
            outer_length: "1.7 m",
            inner: (outside: "76 mm", area: "9 cm2", i: "58 cm4", e: "200 GPa", fy: "240 MPa"),
            overlap: "0.3 m", base_plate: "150 mm",
            head: (kind: drop_head, width: "150 mm", locks: true,
                locked: (bearing: true, along: true)),
            brace_low: "0.3 m", brace_high: "0.3 m",
            capacity: (basis: safe_working_load, rows: [("4 m", "30 kN")]),
        )})"#,
    )
    .unwrap()
}
