//! What is there before the first post: floors, walls and columns, and the slabs to come.

use crate::units::{Length, Pressure};
use serde::{Deserialize, Serialize};

/// A surface posts stand on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Floor {
    pub name: String,
    pub level: Length,
    pub kind: FloorKind,
    /// Corner points in plan; empty: everywhere.
    #[serde(default)]
    pub outline: Vec<(Length, Length)>,
    /// Rise per run along x and y, for graded ground.
    #[serde(default)]
    pub slope: (f64, f64),
}

/// What a floor is made of.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum FloorKind {
    /// A hardened slab.
    Slab,
    /// Ground with its allowable bearing pressure, if somebody stated one.
    Ground {
        #[serde(default)]
        bearing: Option<Pressure>,
    },
}

/// A slab to be cast.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Slab {
    pub name: String,
    /// Level of the underside of the concrete.
    pub soffit: Length,
    pub thickness: Length,
    pub outline: Vec<(Length, Length)>,
    /// What its concrete must reach before forms and posts come away; none: it is never released.
    #[serde(default)]
    pub strength: Option<super::Strength>,
    /// It is hard and carries itself when the job begins.
    #[serde(default)]
    pub there: bool,
    /// Beams under the slab, as deeper strips.
    #[serde(default)]
    pub drop_beams: Vec<DropBeam>,
}

/// A strip of deeper concrete between two plan points.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DropBeam {
    pub name: String,
    pub from: (Length, Length),
    pub to: (Length, Length),
    pub width: Length,
    /// Below the slab's soffit.
    pub drop: Length,
}

/// A wall or column of the permanent works.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Permanent {
    pub name: String,
    pub kind: PermanentKind,
    pub from: Length,
    pub to: Length,
}

/// Plan shape of a wall or column: the column's middle and its sides along x and y; the wall's
/// middle line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum PermanentKind {
    Column { at: (Length, Length), size: (Length, Length) },
    Wall { from: (Length, Length), to: (Length, Length), thickness: Length },
}
