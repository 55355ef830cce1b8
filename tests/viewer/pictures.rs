//! Pictures of stages, drawn without a window. Skipped where there is no graphics adapter, except
//! when `CI` is set.

use super::site;
use bevy::image::Image;
use bevy::render::render_resource::{Extent3d, TextureDimension, TextureFormat};
use standwell::findings::Severity;
use standwell::review::Review;
use standwell::viewer::adapter::{CannotDraw, guarded};
use standwell::viewer::picture::{Options, Studio, pixels};
use standwell::viewer::theme::{Look, Theme};
use standwell::viewer::vocab::NamedView;
use std::sync::Arc;

/// What was drawn, or none where nothing can be; with CI set that is a failure.
pub fn drawn<T>(made: anyhow::Result<T>) -> Option<T> {
    match made {
        Ok(made) => Some(made),
        Err(why) if why.is::<CannotDraw>() && std::env::var_os("CI").is_none() => {
            println!("skipped: {why}");
            None
        }
        Err(why) => panic!("{why:#}"),
    }
}

/// A small picture, or none where nothing can be drawn.
fn small(review: &Arc<Review>, stage: usize, options: &Options) -> Option<Image> {
    drawn(pixels(review.clone(), stage, (480, 300), options))
}

/// How many pixels are near the hue of stop: much more red than green or blue.
fn red(image: Image) -> usize {
    let image = image.try_into_dynamic().unwrap().to_rgb8();
    image.pixels().filter(|p| p.0[0] > 110 && p.0[1] < 85 && p.0[2] < 70).count()
}

/// Panels are seen in frames in which only the eye has moved, and none of them is laid out: the picture is
/// taken some frames after the eye was aimed.
#[test]
fn panels_stay_on_the_picture_while_only_the_eye_moves() {
    let Some(mut studio) = drawn(Studio::new((900, 600))) else { return };
    let review = Arc::new(site::review(3, 2));
    let theme = Theme::shipped().unwrap();
    for look in [Look::Day, Look::Dark] {
        let options = Options { panels: true, look, ..Options::default() };
        let image = studio.take(review.clone(), 3, &options, |_| {}).unwrap();
        let image = image.try_into_dynamic().unwrap().to_rgb8();
        let panel = theme.palette(look).panel.egui();
        let own = [panel.r(), panel.g(), panel.b()];
        let like = |p: &[u8; 3]| (0..3).all(|k| p[k].abs_diff(own[k]) < 4);
        // Of the bar on top, most is its own ground.
        let bar = image.enumerate_pixels().filter(|(_, y, _)| *y < 40);
        let panels = bar.filter(|(_, _, p)| like(&p.0)).count();
        assert!(panels > 900 * 40 / 2, "{look:?}: {panels}");
    }
}

/// The post in danger is seen in the picture at its stage, and not at a calm one. Without
/// labels, so that it is the members that are counted.
#[test]
fn danger_is_seen_in_the_picture_and_only_where_it_is() {
    let review = Arc::new(site::review(3, 2));
    let stop = &review.findings[0];
    let post = review.assembly.find(&stop.subjects[0]).unwrap();
    let there = |stage: usize| review.sequence.stages[stage].state(post).is_there();
    let at = (stop.from_stage..=stop.last_stage).find(|&s| there(s)).unwrap();
    let grave = |s: usize| review.summaries[s].worst >= Some(Severity::FixFirst);
    let stages = review.sequence.stages.len();
    let calm = (0..stages).rev().find(|&s| !grave(s)).unwrap();
    let options = Options { labels: false, ..Options::default() };
    let Some(danger) = small(&review, at, &options) else { return };
    let calm = small(&review, calm, &options).unwrap();
    let (danger, calm) = (red(danger), red(calm));
    assert!(danger > 60 && calm == 0, "{danger} red pixels in danger, {calm} in calm");
}

#[test]
fn a_missing_adapter_is_told_in_a_sentence() {
    let said = |words: &'static str| guarded(|| panic!("{words}")).unwrap_err();
    let none = said("Unable to find a GPU! Make sure you have installed required drivers!");
    assert_eq!(none, CannotDraw::NoAdapter);
    assert!(none.to_string().contains("mesa-vulkan-drivers"));
    let display = said("Failed to build event loop: Os(OsError)");
    assert!(matches!(display, CannotDraw::NoDisplay(_)), "{display:?}");
    assert!(matches!(said("something else"), CannotDraw::Other(_)));
    assert_eq!(guarded(|| 3), Ok(3));
}

#[test]
fn the_theme_reads() {
    let theme = Theme::shipped().unwrap();
    assert!(!theme.day.dark_mode && theme.dark.dark_mode);
}

/// A shipped view; its reference lies in `tests/viewer/pictures/NAME.png`, one pixel for each square of
/// eight by eight.
struct Shot {
    name: &'static str,
    job: &'static str,
    stage: usize,
    view: NamedView,
    look: Look,
    /// Whether the controls are drawn as well, which takes its time.
    controls: bool,
}

const SIZE: (u32, u32) = (960, 600);

const SHOTS: [Shot; 6] = [
    shot("danger", "faulty-floor", 11, NamedView::Corner, Look::Day, true),
    shot("danger-dark", "faulty-floor", 30, NamedView::Corner, Look::Dark, false),
    shot("plan", "sound-floor", 70, NamedView::Plan, Look::Day, true),
    shot("edge-front", "slab-edge", 40, NamedView::Front, Look::Day, false),
    shot("beam-contrast", "deep-beam", 30, NamedView::Side, Look::Contrast, true),
    shot("stripping", "stripped-floor", 40, NamedView::Corner, Look::Day, true),
];

const fn shot(
    name: &'static str,
    job: &'static str,
    stage: usize,
    view: NamedView,
    look: Look,
    controls: bool,
) -> Shot {
    Shot { name, job, stage, view, look, controls }
}

/// Eight-bit colours, row by row.
struct Pixels {
    wide: usize,
    rgb: Vec<u8>,
}

fn pixels_of(image: Image) -> Pixels {
    let image = image.try_into_dynamic().unwrap().to_rgb8();
    Pixels { wide: image.width() as usize, rgb: image.into_raw() }
}

/// A studio, or none where nothing can be drawn.
fn studio(size: (u32, u32)) -> Option<Studio> {
    drawn(Studio::new(size))
}

/// The mean colour of every square of eight by eight pixels: what another driver does to the edges of
/// lines averages out, another member does not.
fn squares(image: Image) -> Pixels {
    const SIDE: usize = 8;
    let p = pixels_of(image);
    let (wide, high) = (p.wide / SIDE, p.rgb.len() / 3 / p.wide / SIDE);
    let mean = |x: usize, y: usize, c: usize| {
        let at = |k: usize| ((y * SIDE + k / SIDE) * p.wide + x * SIDE + k % SIDE) * 3 + c;
        let sum: u32 = (0..SIDE * SIDE).map(|k| u32::from(p.rgb[at(k)])).sum();
        (sum / (SIDE * SIDE) as u32) as u8
    };
    let all = (0..high).flat_map(|y| (0..wide).flat_map(move |x| (0..3).map(move |c| (x, y, c))));
    Pixels { wide, rgb: all.map(|(x, y, c)| mean(x, y, c)).collect() }
}

/// Squares that differ by more than a shade.
fn differing(a: &Pixels, b: &Pixels) -> usize {
    const SHADE: u8 = 7;
    assert_eq!((a.wide, a.rgb.len()), (b.wide, b.rgb.len()));
    let differs = |(a, b): (&[u8], &[u8])| (0..3).any(|c| a[c].abs_diff(b[c]) > SHADE);
    a.rgb.chunks(3).zip(b.rgb.chunks(3)).filter(|p| differs(*p)).count()
}

fn save(pixels: &Pixels, path: &std::path::Path) {
    let size = Extent3d {
        width: pixels.wide as u32,
        height: (pixels.rgb.len() / 3 / pixels.wide) as u32,
        depth_or_array_layers: 1,
    };
    let rgba = pixels.rgb.chunks(3).flat_map(|p| [p[0], p[1], p[2], 255]).collect();
    let image = Image::new(
        size,
        TextureDimension::D2,
        rgba,
        TextureFormat::Rgba8UnormSrgb,
        bevy::asset::RenderAssetUsages::default(),
    );
    image.try_into_dynamic().unwrap().to_rgb8().save(path).unwrap();
}

/// So many of the 9000 squares may differ.
const TOLERANCE: usize = 4;

/// The member to paint another colour as a control: of those that stand, with nothing found about
/// them and not touched by the step, the one nearest to the eye.
fn nearest(review: &Review, stage: usize, view: NamedView) -> usize {
    let now = &review.sequence.stages[stage];
    let toward = match view {
        NamedView::Plan => [0.0, 0.0, 1.0],
        NamedView::Front => [0.0, -1.0, 0.1],
        NamedView::Side => [1.0, 0.0, 0.1],
        NamedView::Corner => [0.52, -0.75, 0.41],
    };
    let graded = standwell::viewer::stage_paint::grades(review, stage);
    let depth = |m: &standwell::assembly::Member| {
        let middle = nalgebra::center(&m.ends[0], &m.ends[1]);
        (0..3).map(|k| middle[k] * toward[k]).sum::<f64>()
    };
    use standwell::assembly::Role;
    let candidates = review.assembly.members.iter().filter(|m| {
        now.stands(m.id)
            && graded[m.id.index()].is_none()
            && !now.touched.contains(&m.id)
            && match view {
                NamedView::Plan => matches!(m.role, Role::Ledger | Role::Joist | Role::Sheet),
                _ => m.role == Role::Post,
            }
    });
    candidates.max_by(|a, b| depth(a).total_cmp(&depth(b))).unwrap().id.index()
}

/// Each view against its reference. The tolerance also has to tell it from two controls: the stage
/// before, and the same stage with one member in another colour. `UPDATE=1` writes references, and the
/// whole pictures into the folder for temporary files: they are looked at before they are kept.
#[test]
fn shipped_views_look_as_they_did() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/viewer/pictures");
    let whole = |shot: &Shot| std::env::temp_dir().join(format!("standwell-{}.png", shot.name));
    let Some(mut studio) = studio(SIZE) else { return };
    for shot in SHOTS {
        let options = Options { view: shot.view, look: shot.look, ..Options::default() };
        let mut drawn = |review: &Arc<Review>, stage| {
            studio.take(review.clone(), stage, &options, |_| {}).unwrap()
        };
        let text = standwell::cli::shipped::find(shot.job).unwrap().text;
        let loaded = standwell::scene::read(text, std::path::Path::new(shot.job)).unwrap();
        let review = Arc::new(standwell::review::judge(loaded, &|_, _| true).unwrap());
        let image = drawn(&review, shot.stage);
        let now = squares(image.clone());
        let path = folder.join(format!("{}.png", shot.name));
        if std::env::var_os("UPDATE").is_some() {
            std::fs::create_dir_all(&folder).unwrap();
            save(&now, &path);
            image.clone().try_into_dynamic().unwrap().to_rgb8().save(whole(&shot)).unwrap();
        }
        let bytes = std::fs::read(&path).unwrap();
        let reference = Image::from_buffer(
            &bytes,
            bevy::image::ImageType::Extension("png"),
            bevy::image::CompressedImageFormats::NONE,
            true,
            bevy::image::ImageSampler::Default,
            bevy::asset::RenderAssetUsages::default(),
        );
        let reference = pixels_of(reference.unwrap());
        let differ = differing(&reference, &now);
        println!("{}: {differ} squares differ from the reference", shot.name);
        if differ > TOLERANCE {
            image.try_into_dynamic().unwrap().to_rgb8().save(whole(&shot)).unwrap();
            panic!("{} differs from its reference: see {}", shot.name, whole(&shot).display());
        }
        if !shot.controls {
            continue;
        }
        let before = squares(drawn(&review, shot.stage - 1));
        let mut other = (*review).clone();
        let member = nearest(&other, shot.stage, shot.view);
        let id = other.assembly.members[member].id;
        other.sequence.stages[shot.stage].touched.push(id);
        let other = squares(drawn(&Arc::new(other), shot.stage));
        let found = [before, other].map(|p| differing(&reference, &p));
        let name = other_name(&review, member);
        println!("{}: controls differ by {found:?} squares (stage before, {name})", shot.name);
        assert!(found[0] > TOLERANCE, "{}: the stage before passes too", shot.name);
        assert!(found[1] > TOLERANCE, "{}: {name} passes too", shot.name);
    }
}

fn other_name(review: &Review, member: usize) -> String {
    format!("{} in another colour", review.assembly.members[member].name)
}

/// An adapter with the least there is: no lists in the graphics card's memory. The members are drawn there
/// too, the same as on a better one.
#[test]
fn an_adapter_with_the_least_there_is_draws_the_same() {
    let folder = tempfile::tempdir().unwrap();
    let draw = |least: bool| {
        let out = folder.path().join(format!("{least}.png"));
        let mut program = std::process::Command::new(env!("CARGO_BIN_EXE_standwell"));
        program.args(["picture", "starter-tower", "--stage", "3", "--size"]);
        program.args(["960x600", "--out"]);
        program.arg(&out);
        if least {
            program.env("WGPU_SETTINGS_PRIO", "webgl2");
        }
        let ran = program.output().unwrap();
        let said = String::from_utf8_lossy(&ran.stderr).into_owned();
        assert!(ran.status.success(), "{said}");
        assert!(!said.contains("Validation Error"), "{said}");
        let image = Image::from_buffer(
            &std::fs::read(&out).unwrap(),
            bevy::image::ImageType::Extension("png"),
            bevy::image::CompressedImageFormats::NONE,
            true,
            bevy::image::ImageSampler::Default,
            bevy::asset::RenderAssetUsages::default(),
        );
        squares(image.unwrap())
    };
    let (full, least) = (draw(false), draw(true));
    let found = differing(&full, &least);
    println!("with the least there is {found} squares differ");
    assert!(found <= TOLERANCE, "{found} squares differ");
}

/// Writes pictures of the window in all its modes to look at:
/// `LOOK=folder WHICH=walk cargo test --test viewer look -- --ignored`.
#[test]
#[ignore = "makes pictures for a person to look at"]
fn look() {
    use standwell::record::PermitKind;
    use standwell::viewer::guide::{Fields, Wish};
    use standwell::viewer::state::ViewerState;
    use standwell::viewer::vocab::Intent;
    let temp = || std::env::temp_dir().display().to_string();
    let folder = std::env::var("LOOK").unwrap_or_else(|_| temp());
    let which = std::env::var("WHICH").unwrap_or_else(|_| "all".to_owned());
    let wish = |s: &mut ViewerState, w: Wish| drop(s.act(&Intent::Guide(w)));
    let named = |s: &mut ViewerState| {
        wish(
            s,
            Wish::Fields(Fields {
                by: "R. Sample".into(),
                signer: "R. Sample".into(),
                ..Fields::default()
            }),
        );
    };
    type Prepare<'a> = Box<dyn Fn(&mut ViewerState) + 'a>;
    let modes: Vec<(&str, &str, Prepare<'_>)> = vec![
        (
            "lesson",
            "starter-tower",
            Box::new(|s| {
                wish(s, Wish::Lesson("next-post".into()));
                for _ in 0..2 {
                    wish(s, Wish::Next);
                }
            }),
        ),
        (
            "mark",
            "starter-tower",
            Box::new(|s| {
                wish(s, Wish::Lesson("next-post".into()));
                for _ in 0..6 {
                    wish(s, Wish::Next);
                    wish(s, Wish::GoOn(true));
                    wish(s, Wish::Pick(1));
                }
            }),
        ),
        (
            "walk",
            "slab-edge",
            Box::new(|s| {
                wish(s, Wish::Walk);
                named(s);
                wish(s, Wish::Next);
            }),
        ),
        (
            "permit",
            "starter-tower",
            Box::new(|s| {
                wish(s, Wish::Permit(PermitKind::Load));
                named(s);
            }),
        ),
        (
            "compare",
            "slab-edge",
            Box::new(|s| {
                s.pinned = Some(10);
                s.stage = 40;
            }),
        ),
        ("path", "starter-tower", Box::new(|s| s.asks_path = true)),
        ("help", "starter-tower", Box::new(|s| s.help = true)),
        (
            "problem",
            "starter-tower",
            Box::new(|s| {
                s.problem = Some(
                    "floor.ron:12:5: there is no field \"lenght\"; did you mean \"length\"?".into(),
                );
            }),
        ),
    ];
    let mut studio = Studio::new((1600, 1000)).unwrap();
    for (name, job, prepare) in modes {
        if which != "all" && which != name {
            continue;
        }
        let text = standwell::cli::shipped::find(job).unwrap().text;
        let path = std::path::PathBuf::from(format!("shipped:{job}"));
        let loaded = standwell::scene::read(text, &path).unwrap();
        let review = Arc::new(standwell::review::judge(loaded, &|_, _| true).unwrap());
        for look in Look::ALL {
            let options = Options { look, panels: true, ..Options::default() };
            let shown = review.clone();
            let prepare = |s: &mut ViewerState| {
                s.guide = Default::default();
                (s.pinned, s.asks_path, s.help, s.problem) = (None, false, false, None);
                s.show(&path, shown.clone());
                prepare(s);
            };
            let image = studio.take(review.clone(), 999, &options, prepare);
            let to = format!("{folder}/{name}-{look:?}.png");
            image.unwrap().try_into_dynamic().unwrap().to_rgb8().save(to).unwrap();
        }
    }
}
