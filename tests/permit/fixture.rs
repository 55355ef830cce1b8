//! A job that can be issued, in a folder of its own, for tests to spoil in one place.

use standwell::permit::{Asked, Basis, Issuer, Permit, draft};
use standwell::record::{self, PermitKind};
use standwell::scene;
use std::path::{Path, PathBuf};

/// The folder, with the scene, its equipment, a site pack that extends a shipped one, and the record.
pub struct Job {
    pub folder: tempfile::TempDir,
}

/// Everything inspected and released.
pub const RECORD: &str = r#"// What was seen on the invented site.
(
    format: 1,
    drawing: (number: "F-01", revision: "B"),
    hold_points: [
        (id: "rebar", title: "Reinforcement checked", before: load, look: ["Laid as drawn."]),
    ],
    inspections: [
        (parts: ["main.post.*"], by: "R. Sample", on: "2026-03-09", drawing: "B", sound: true,
            pin_home: true, collar_home: true, out_of_plumb: "5 mm"),
        (parts: ["main.ledger.*", "main.joist.*", "main.brace.*"], by: "R. Sample", on: "2026-03-09",
            drawing: "B", sound: true, fixed: true),
        (parts: ["main.filler.*", "main.sheet.*"], by: "T. Sample", on: "2026-03-09", drawing: "B", sound: true),
    ],
    releases: [
        (point: "ground", by: "R. Sample", on: "2026-03-09", evidence: ["slab record 12"]),
        (point: "built-to-drawing", by: "R. Sample", on: "2026-03-09", evidence: ["checked against F-01 B"]),
        (point: "bracing", by: "R. Sample", on: "2026-03-09", evidence: ["walked all lines"]),
        (point: "deck-and-edge", by: "R. Sample", on: "2026-03-09", evidence: ["photo 4"]),
        (point: "placing-plan", by: "R. Sample", on: "2026-03-09", evidence: ["plan of 8 March"]),
        (point: "rebar", by: "T. Sample", on: "2026-03-09", evidence: ["report 3"]),
    ],
)
"#;

const SITE: &str = r#"// Site rules of the invented site.
(
    format: 1,
    extends: "us",
    name: "site",
    title: "Site rules",
    critical_factor: (value: 4.0, source: "Site rule 3, invented for these tests", seen: practice),
)
"#;

pub fn root(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

impl Job {
    pub fn new() -> Self {
        let job = Self { folder: tempfile::tempdir().unwrap() };
        let scene = std::fs::read_to_string(root("tests/permit/job.ron")).unwrap();
        job.write("job.ron", &scene.replace("criteria: \"us\"", "criteria: \"site.ron\""));
        let sample = std::fs::read_to_string(root("assets/equipment/sample.ron")).unwrap();
        // The numbers stay invented; for these tests somebody vouches for them.
        job.write("own.ron", &sample.replace("sample: true", "sample: false"));
        job.write("site.ron", SITE);
        job.write("job.asbuilt.ron", RECORD);
        job
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.path(name)).unwrap()
    }

    pub fn write(&self, name: &str, text: &str) {
        std::fs::write(self.path(name), text).unwrap();
    }

    /// Replaces text that must be there, once.
    pub fn change(&self, name: &str, from: &str, to: &str) -> &Self {
        let text = self.read(name);
        assert_eq!(text.matches(from).count(), 1, "{from} in {name}");
        self.write(name, &text.replace(from, to));
        self
    }

    pub fn with<T>(&self, use_it: impl FnOnce(&Basis<'_>) -> T) -> T {
        let scene = self.path("job.ron");
        let loaded = scene::load(&scene).unwrap_or_else(|p| panic!("{p}"));
        let files = loaded.files.clone();
        let review = standwell::review::judge(loaded, &|_, _| true).unwrap();
        let record_path = record::path_beside(&scene);
        let record = record_path.exists().then(|| {
            record::load(&record_path, &review.assembly).unwrap_or_else(|p| panic!("{p}"))
        });
        let basis = Basis {
            review: &review,
            record: record.as_ref(),
            files: &files,
            scene: &scene,
            pictures: &[],
        };
        use_it(&basis)
    }

    pub fn draft(&self, kind: PermitKind) -> Permit {
        self.with(|basis| draft(basis, kind, &Asked::default()))
    }

    /// Words of what stands in the way of loading.
    pub fn refused(&self) -> Vec<String> {
        self.draft(PermitKind::Load)
            .refusals
            .iter()
            .map(standwell::permit::Refusal::words)
            .collect()
    }

    pub fn issued(&self) -> Permit {
        let draft = self.draft(PermitKind::Load);
        standwell::permit::issue(&draft, &issuer())
            .unwrap_or_else(|e| panic!("{e}: {:?}", draft.refusals))
    }
}

pub fn issuer() -> Issuer {
    Issuer {
        by: "A. Sample".to_owned(),
        role: "coordinator".to_owned(),
        on: "2026-03-10".parse().unwrap(),
        valid_until: Some("2026-03-12".parse().unwrap()),
        note: String::new(),
    }
}
