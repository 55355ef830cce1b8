//! The neutral frame format: frames as JSON that any program can write.
//!
//! ```text
//! nodes    [[x,y,z], …]
//! sections {name: {E,G,A,Iy,Iz,J}}          Iz: bending in local x-y, Iy: in local x-z
//! members  [{i, j, sec, type: "beam"|"truss", role, z: [local z],
//!            rel: {i: [kx,ky,kz], j: […]},   per local rotation axis: null rigid, 0 free,
//!                                            above 0 a rotational spring
//!            arm: {i: [x,y,z], j: […]}}]     rigid, from node to member end (may be left out)
//! supports [[node, ux,uy,uz,rx,ry,rz]]       1 = fixed
//! springs  [[node, kx,ky,kz,krx,kry,krz]]    to the ground (may be left out)
//! cases    {name: {nodal: [[node, fx,fy,fz,mx,my,mz]], udl: [[member, wx,wy,wz]]}}
//! ```
//! Any consistent units. Member loads are in global axes, per length.

use std::collections::BTreeMap;

use serde::Deserialize;

use super::frame::{Frame, FrameMember, LoadCase, MemberKind, Release, Section, Spring, Support};
use crate::assembly::model::{Point, Vector};

/// A frame with its load cases and the roles of its members.
#[derive(Clone, Debug, Default)]
pub struct Neutral {
    pub frame: Frame,
    /// Role of each member, empty where none is given.
    pub roles: Vec<String>,
    pub cases: BTreeMap<String, LoadCase>,
}

/// Why a text is no frame in this format.
#[derive(Debug, thiserror::Error)]
pub enum NeutralError {
    #[error("not a frame in the neutral format: {0}")]
    Json(#[from] serde_json::Error),
    #[error("member {member} names section {name:?}, which is not there")]
    Section { member: usize, name: String },
    #[error("member {member} is of type {kind:?}; beam and truss are known")]
    Kind { member: usize, kind: String },
    #[error("{what} {index}: {value} is no index")]
    Index { what: &'static str, index: usize, value: f64 },
}

#[derive(Deserialize)]
struct Document {
    nodes: Vec<[f64; 3]>,
    sections: BTreeMap<String, SectionText>,
    members: Vec<MemberText>,
    supports: Vec<[f64; 7]>,
    #[serde(default)]
    springs: Vec<[f64; 7]>,
    #[serde(default)]
    cases: BTreeMap<String, CaseText>,
}

#[derive(Deserialize)]
#[serde(rename_all = "PascalCase")]
struct SectionText {
    e: f64,
    g: f64,
    a: f64,
    iy: f64,
    iz: f64,
    j: f64,
}

#[derive(Deserialize)]
struct MemberText {
    i: usize,
    j: usize,
    sec: String,
    #[serde(rename = "type")]
    kind: String,
    #[serde(default)]
    role: String,
    #[serde(default)]
    z: Option<[f64; 3]>,
    #[serde(default)]
    rel: Option<ReleaseText>,
    #[serde(default)]
    arm: Option<ArmText>,
}

#[derive(Deserialize)]
struct ArmText {
    #[serde(default)]
    i: [f64; 3],
    #[serde(default)]
    j: [f64; 3],
}

#[derive(Deserialize)]
struct ReleaseText {
    #[serde(default)]
    i: [Option<f64>; 3],
    #[serde(default)]
    j: [Option<f64>; 3],
}

#[derive(Deserialize)]
struct CaseText {
    #[serde(default)]
    nodal: Vec<[f64; 7]>,
    #[serde(default)]
    udl: Vec<[f64; 4]>,
}

/// Reads a frame.
///
/// # Errors
/// Text that is not JSON or does not have the fields above; a section that is not there. Whether
/// the frame can be judged is for [`Frame::check`] to say.
pub fn read(text: &str) -> Result<Neutral, NeutralError> {
    let document: Document = serde_json::from_str(text)?;
    let names: Vec<&String> = document.sections.keys().collect();
    let sections = document.sections.values().map(|s| Section {
        e: s.e,
        g: s.g,
        a: s.a,
        iy: s.iy,
        iz: s.iz,
        j: s.j,
    });
    let mut frame = Frame {
        nodes: document.nodes.iter().map(|p| Point::new(p[0], p[1], p[2])).collect(),
        sections: sections.collect(),
        ..Frame::default()
    };
    let mut roles = Vec::with_capacity(document.members.len());
    for (member, m) in document.members.into_iter().enumerate() {
        let section = names
            .binary_search(&&m.sec)
            .map_err(|_| NeutralError::Section { member, name: m.sec.clone() })?;
        let kind = match m.kind.as_str() {
            "beam" => MemberKind::Beam,
            "truss" => MemberKind::Bar,
            _ => return Err(NeutralError::Kind { member, kind: m.kind }),
        };
        let rel = m.rel.map_or([[None; 3]; 2], |r| [r.i, r.j]);
        let arm = m.arm.map_or([[0.0; 3]; 2], |a| [a.i, a.j]).map(Vector::from);
        let member = FrameMember {
            i: m.i,
            j: m.j,
            section,
            kind,
            z: m.z.map_or_else(Vector::zeros, Vector::from),
            release: rel.map(|end| end.map(release)),
            arms: None,
        };
        frame.members.push(member.off(arm[0], arm[1]));
        roles.push(m.role);
    }
    for (index, s) in document.supports.iter().enumerate() {
        let fixed = std::array::from_fn(|dof| s[1 + dof] != 0.0);
        frame.supports.push(Support { node: whole("support", index, s[0])?, fixed });
    }
    for (index, s) in document.springs.iter().enumerate() {
        let k = std::array::from_fn(|dof| s[1 + dof]);
        frame.springs.push(Spring { node: whole("spring", index, s[0])?, k });
    }
    let mut cases = BTreeMap::new();
    for (name, text) in document.cases {
        let mut case = LoadCase::default();
        for (index, f) in text.nodal.iter().enumerate() {
            let load = std::array::from_fn(|dof| f[1 + dof]);
            case.nodal.push((whole("nodal load", index, f[0])?, load));
        }
        for (index, f) in text.udl.iter().enumerate() {
            let load = std::array::from_fn(|axis| f[1 + axis]);
            case.uniform.push((whole("member load", index, f[0])?, load));
        }
        cases.insert(name, case);
    }
    Ok(Neutral { frame, roles, cases })
}

fn release(stiffness: Option<f64>) -> Release {
    match stiffness {
        None => Release::Rigid,
        Some(0.0) => Release::Free,
        Some(k) => Release::Spring(k),
    }
}

fn whole(what: &'static str, index: usize, value: f64) -> Result<usize, NeutralError> {
    // Exact for every index a file can hold.
    if value >= 0.0 && value.fract() == 0.0 && value < 9e15 {
        Ok(value as usize)
    } else {
        Err(NeutralError::Index { what, index, value })
    }
}
