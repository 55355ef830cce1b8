//! Standwell answers one question at every moment of a slab-shoring job:
//! *would what stands right now stay standing?*
//!
//! Data goes one way. A later room reads an earlier one and never the other way round:
//!
//! 1. [`scene`]: the RON document a person writes, read with line and column.
//! 2. [`equipment`], [`criteria`]: components and rules as data.
//! 3. [`assembly`]: the scene laid out as members and joints with coordinates.
//!    [`concrete`] says what evidence shows of a slab's strength, [`levels`] what slabs and props
//!    carry through several floors.
//! 4. [`sequence`]: steps and actions become stages, what stands when the hands are off.
//!    [`changes`] tried in the program are made first.
//! 5. [`loads`]: what each stage weighs and carries, taken down to the post heads.
//! 6. [`restraint`], [`mechanics`], [`equilibrium`]: who is held by what; whether it stays
//!    standing as a frame; whether it tips on its one-way supports.
//! 7. [`capacity`], [`calc`]: what a part carries by formula and table; one member's use of it at a
//!    stage, line by line. [`checks`]: one file per hazard, from a judged stage to [`findings`].
//! 8. [`review`]: the whole way from a scene to all findings of all stages.
//! 9. [`record`]: what people saw on site; [`permit`]: what is issued on it, bound to the files;
//!    [`walk`]: where to stop and look; [`lessons`]: training on any scene.
//! 10. [`report`], [`cli`] and, with the feature `viewer`, the 3D window.
//!
//! Coordinates are metres, Z up, right-handed, `f64`; forces newtons. Nothing outside `viewer`
//! knows Bevy or egui.

pub mod assembly;
pub mod by_eye;
pub mod calc;
pub mod capacity;
pub mod changes;
pub mod checks;
pub mod chunks;
pub mod cli;
pub mod concrete;
pub mod criteria;
pub mod equilibrium;
pub mod equipment;
pub mod findings;
pub mod lessons;
pub mod levels;
pub mod loads;
pub mod mechanics;
pub mod near;
pub mod permit;
pub mod plan;
pub mod record;
pub mod report;
pub mod restraint;
pub mod review;
pub mod scene;
pub mod sequence;
pub mod units;
#[cfg(feature = "viewer")]
pub mod viewer;
pub mod walk;
