//! What makes a frame, a load case or a set of axial forces unfit to be judged.

use super::frame::{Dof, Frame, FrameError, LoadCase, MemberKind, Release};

/// A member shorter than this part of the frame's size has no direction one could trust.
const SHORTEST: f64 = 1e-9;

pub(super) fn check(frame: &Frame) -> Result<(), FrameError> {
    if frame.nodes.is_empty() {
        return Err(FrameError::Empty);
    }
    for (node, p) in frame.nodes.iter().enumerate() {
        if !p.iter().all(|c| c.is_finite()) {
            return Err(FrameError::NodeNotFinite { node });
        }
    }
    check_sections(frame)?;
    let size = size(frame);
    for member in 0..frame.members.len() {
        check_member(frame, member, size)?;
    }
    check_supports(frame)
}

/// Largest extent of the nodes; one where they all coincide.
pub(super) fn size(frame: &Frame) -> f64 {
    let mut size: f64 = 0.0;
    for axis in 0..3 {
        let low = frame.nodes.iter().map(|p| p[axis]).fold(f64::INFINITY, f64::min);
        let high = frame.nodes.iter().map(|p| p[axis]).fold(f64::NEG_INFINITY, f64::max);
        size = size.max(high - low);
    }
    if size > 0.0 { size } else { 1.0 }
}

fn check_sections(frame: &Frame) -> Result<(), FrameError> {
    for (section, s) in frame.sections.iter().enumerate() {
        let parts = [("E", s.e), ("G", s.g), ("A", s.a), ("Iy", s.iy), ("Iz", s.iz), ("J", s.j)];
        for (what, value) in parts {
            if !value.is_finite() || value < 0.0 {
                return Err(FrameError::Section { section, what, value });
            }
        }
        let products =
            [("E·A", s.e * s.a), ("E·Iy", s.e * s.iy), ("E·Iz", s.e * s.iz), ("G·J", s.g * s.j)];
        for (what, value) in products {
            if !value.is_finite() {
                return Err(FrameError::Section { section, what, value });
            }
        }
    }
    Ok(())
}

fn check_member(frame: &Frame, member: usize, size: f64) -> Result<(), FrameError> {
    let m = &frame.members[member];
    let nodes = frame.nodes.len();
    for node in [m.i, m.j] {
        if node >= nodes {
            return Err(FrameError::MemberNode { member, node, nodes });
        }
    }
    let sections = frame.sections.len();
    let Some(section) = frame.sections.get(m.section) else {
        return Err(FrameError::MemberSection { member, section: m.section, sections });
    };
    if m.arms.is_some_and(|arms| !arms.at.iter().flatten().all(|v| v.is_finite())) {
        return Err(FrameError::ArmNotFinite { member });
    }
    let axis = frame.run(member);
    let length = axis.norm();
    // Written so that NaN and infinity fail as well.
    if m.i == m.j || !(length > SHORTEST * size && length.is_finite()) {
        return Err(FrameError::ZeroLength { member, length });
    }
    let axial = section.e * section.a;
    // A tiny subnormal stiffness would overflow when divided by.
    if axial < f64::MIN_POSITIVE / f64::EPSILON {
        return Err(FrameError::NoAxialStiffness { member, value: axial });
    }
    if m.kind == MemberKind::Bar {
        return Ok(());
    }
    let z = m.z.norm();
    let square = m.z.cross(&axis).norm();
    // 1e-6 rad off the member: the local axes would be noise.
    if !(z > 0.0 && z.is_finite() && square > 1e-6 * z * length) {
        return Err(FrameError::Orientation { member });
    }
    for release in m.release.iter().flatten() {
        if let Release::Spring(value) = *release
            && !(value.is_finite() && value > 0.0)
        {
            return Err(FrameError::ReleaseSpring { member, value });
        }
    }
    Ok(())
}

fn check_supports(frame: &Frame) -> Result<(), FrameError> {
    let nodes = frame.nodes.len();
    for (support, s) in frame.supports.iter().enumerate() {
        if s.node >= nodes {
            return Err(FrameError::SupportNode { support, node: s.node, nodes });
        }
    }
    for (spring, s) in frame.springs.iter().enumerate() {
        if s.node >= nodes {
            return Err(FrameError::SpringNode { spring, node: s.node, nodes });
        }
        for value in s.k {
            if !value.is_finite() || value < 0.0 {
                return Err(FrameError::SpringStiffness { spring, value });
            }
        }
    }
    let held = frame.supports.iter().any(|s| s.fixed.iter().any(|f| *f))
        || frame.springs.iter().any(|s| s.k.iter().any(|k| *k > 0.0));
    if held { Ok(()) } else { Err(FrameError::NoSupport) }
}

pub(super) fn check_case(frame: &Frame, case: &LoadCase) -> Result<(), FrameError> {
    for (index, load) in &case.nodal {
        if *index >= frame.nodes.len() {
            let count = frame.nodes.len();
            return Err(FrameError::LoadIndex { what: "node", index: *index, count });
        }
        if !load.iter().all(|f| f.is_finite()) {
            return Err(FrameError::LoadNotFinite { what: "node", index: *index });
        }
    }
    for (index, load) in &case.uniform {
        if *index >= frame.members.len() {
            let count = frame.members.len();
            return Err(FrameError::LoadIndex { what: "member", index: *index, count });
        }
        if !load.iter().all(|f| f.is_finite()) {
            return Err(FrameError::LoadNotFinite { what: "member", index: *index });
        }
    }
    Ok(())
}

pub(super) fn check_pins(frame: &Frame, pins: &[Dof]) -> Result<(), FrameError> {
    for (node, dof) in pins {
        if *node >= frame.nodes.len() || *dof >= 6 {
            return Err(FrameError::Pin { node: *node, dof: *dof });
        }
    }
    Ok(())
}

pub(super) fn check_axial(frame: &Frame, axial: &[f64]) -> Result<(), FrameError> {
    if axial.len() != frame.members.len() {
        return Err(FrameError::AxialCount { given: axial.len(), members: frame.members.len() });
    }
    match axial.iter().position(|n| !n.is_finite()) {
        Some(member) => Err(FrameError::AxialNotFinite { member }),
        None => Ok(()),
    }
}
