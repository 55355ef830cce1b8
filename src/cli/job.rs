//! From the words on the command line to a judged job: shared by the commands.

use super::progress::Progress;

use super::shipped::{self, Shipped};
use super::{Context, Status};
use crate::assembly::Assembly;
use crate::changes::LaidOut;
use crate::criteria::Pack;
use crate::findings::Severity;
use crate::report::FileUsed;
use crate::review::Review;
use crate::scene::model::StepText;
use crate::scene::{self, FileStamp, Loaded, Problem, Problems};
use crate::sequence::Sequence;
use crate::units::UnitSystem;
use std::path::{Path, PathBuf};
use std::time::Instant;

/// The job a person names: a file, or one of those that come with the program.
#[derive(Clone, Debug, clap::Args)]
pub struct SceneArg {
    /// A scene file, or the name of a job that comes with the program; the demo when left out.
    pub scene: Option<PathBuf>,
}

/// Severities as words on the command line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum SeverityArg {
    Note,
    Watch,
    FixFirst,
    Stop,
}

impl From<SeverityArg> for Severity {
    fn from(arg: SeverityArg) -> Self {
        match arg {
            SeverityArg::Note => Self::Note,
            SeverityArg::Watch => Self::Watch,
            SeverityArg::FixFirst => Self::FixFirst,
            SeverityArg::Stop => Self::Stop,
        }
    }
}

/// For people, or for machines.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, clap::ValueEnum)]
pub enum Format {
    #[default]
    Text,
    Json,
}

/// Display units, instead of those the scene asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum UnitsArg {
    Feet,
    Metres,
}

impl From<UnitsArg> for UnitSystem {
    fn from(arg: UnitsArg) -> Self {
        match arg {
            UnitsArg::Feet => Self::Feet,
            UnitsArg::Metres => Self::Metres,
        }
    }
}

/// Where the scene comes from.
#[derive(Clone, Debug)]
pub enum Source {
    File(PathBuf),
    Shipped(&'static Shipped),
}

impl SceneArg {
    /// A file of that name wins over a shipped job of the same name.
    pub fn source(&self) -> Result<Source, Problems> {
        let demo = PathBuf::from(shipped::DEMO);
        let path = self.scene.as_ref().unwrap_or(&demo);
        if self.scene.is_some() && path.exists() {
            return Ok(Source::File(path.clone()));
        }
        let name = path.to_string_lossy();
        shipped::find(&name).map(Source::Shipped).ok_or_else(|| not_there(path))
    }
}

fn not_there(path: &Path) -> Problems {
    let name = path.to_string_lossy();
    let near = shipped::SHIPPED
        .iter()
        .map(|s| (strsim::damerau_levenshtein(s.name, &name), s.name))
        .min()
        .filter(|(distance, _)| *distance <= 3);
    let help = match near {
        Some((_, near)) => format!("did you mean the shipped job \"{near}\"?"),
        None => "`standwell scenes` lists the jobs that come with the program".to_owned(),
    };
    Problems(vec![Problem {
        file: path.to_owned(),
        line: 0,
        column: 0,
        path: String::new(),
        message: "there is no such file, and no shipped job of that name".to_owned(),
        help: Some(help),
    }])
}

/// A judged job with the files it was read from.
pub struct Judged {
    pub review: Review,
    pub files: Vec<FileUsed>,
    /// The same files with their paths as paths.
    pub stamps: Vec<FileStamp>,
}

/// Reads and judges a job.
pub fn judge(scene: &SceneArg, context: &Context) -> Result<Judged, Problems> {
    judge_under(scene, None, context)
}

/// The same under another pack than the scene's, its options after plus signs: `us+california`.
pub fn judge_under(
    scene: &SceneArg,
    criteria: Option<&str>,
    context: &Context,
) -> Result<Judged, Problems> {
    let started = Instant::now();
    let loaded = load_under(&scene.source()?, criteria)?;
    context.timing("read", started);
    let stamps = loaded.files.clone();
    let files = stamps.iter().map(FileUsed::of).collect();
    let started = Instant::now();
    let progress = Progress::new(context.progress);
    let review = crate::review::judge(loaded, &|done, total| {
        progress.judged(done, total);
        true
    });
    progress.done();
    context.timing("judged", started);
    Ok(Judged { review: review?, files, stamps })
}

/// Reads a job without judging it.
pub fn load_scene(scene: &SceneArg) -> Result<Loaded, Problems> {
    load(&scene.source()?)
}

/// Reads a job with all it names.
pub fn load(source: &Source) -> Result<Loaded, Problems> {
    load_under(source, None)
}

fn load_under(source: &Source, criteria: Option<&str>) -> Result<Loaded, Problems> {
    match source {
        Source::File(path) => scene::load_under(path, criteria),
        Source::Shipped(shipped) => {
            let path = PathBuf::from(format!("shipped:{}", shipped.name));
            scene::read_under(shipped.text, &path, criteria)
        }
    }
}

/// The steps of a job with every line written out.
pub fn expand(scene: &SceneArg) -> Result<Vec<StepText>, Problems> {
    crate::changes::expand(load(&scene.source()?)?)
}

/// A job laid out with its changes made and stepped through, and not judged.
pub fn laid_out(scene: &SceneArg) -> Result<(Assembly, Pack, Sequence), Problems> {
    let LaidOut { assembly, pack, sequence, .. } =
        crate::changes::lay_out(load(&scene.source()?)?)?;
    Ok((assembly, pack, sequence))
}

/// How a person would name the job.
pub fn name_of(source: &Source) -> String {
    match source {
        Source::File(path) => path.display().to_string(),
        Source::Shipped(scene) => scene.name.to_owned(),
    }
}

impl Context {
    /// Says on standard error how long a part took, when asked.
    pub fn timing(&self, what: &str, since: Instant) {
        if self.verbose {
            eprintln!("{what} in {:.3} s", since.elapsed().as_secs_f64());
        }
    }

    /// Says what is wrong with the files.
    pub fn problems(&self, problems: &Problems) -> Status {
        eprintln!("{problems}");
        Status::Unknown
    }
}
