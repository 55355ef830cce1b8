//! The strain modes of a member: which motions of its nodes it resists, sizes left out.

use super::element::Element;

/// Bending plane 0 is local x-y (rotation θz), plane 1 is local x-z (rotation −θy).
const PLANES: [([usize; 4], f64); 2] = [([1, 5, 7, 11], 1.0), ([2, 4, 8, 10], -1.0)];

/// Orthonormal rows over the twelve unknowns of the member's nodes (global axes), lengths in
/// units of `size`.
pub(super) fn strain_modes(element: &Element, size: f64) -> Vec<[f64; 12]> {
    let mut modes = Vec::with_capacity(6);
    let mut stretch = [0.0; 12];
    (stretch[0], stretch[6]) = (-1.0, 1.0);
    push(&mut modes, stretch);
    if element.torsion > 0.0 {
        let mut twist = [0.0; 12];
        (twist[3], twist[9]) = (-1.0, 1.0);
        push(&mut modes, twist);
    }
    let length = element.length / size;
    for (plane, (places, turn)) in PLANES.iter().enumerate() {
        if element.bending[plane] == 0.0 {
            continue;
        }
        for end in 0..2 {
            if element.ends[plane][end] == Some(0.0) {
                continue;
            }
            // End rotation against the chord.
            let mut bend = [0.0; 12];
            bend[places[2 * end + 1]] = *turn;
            bend[places[0]] = 1.0 / length;
            bend[places[2]] = -1.0 / length;
            push(&mut modes, bend);
        }
    }
    for mode in &mut modes {
        for block in 0..4 {
            let local =
                nalgebra::Vector3::new(mode[3 * block], mode[3 * block + 1], mode[3 * block + 2]);
            let global = element.axes.transpose() * local;
            mode[3 * block..3 * block + 3].copy_from_slice(global.as_slice());
        }
    }
    let Some(arms) = &element.arms else { return modes };
    let mut of_nodes = Vec::with_capacity(modes.len());
    for mut mode in modes {
        arms.carry_mode(&mut mode, size);
        push(&mut of_nodes, mode);
    }
    of_nodes
}

/// How much a motion of unit size strains members, lengths in units of `size`: the root of the sum of all modes'
/// squares. The motion is given at the nodes that move, ascending: translations, and rotations.
pub(super) fn strain(elements: &[Element], size: f64, motion: &[(usize, [f64; 6])]) -> f64 {
    // Translations are in units of `size`; what turns by one radian there moves by as much.
    let turned = |d: usize| if d % 6 < 3 { 1.0 } else { size };
    let of = |node: usize| motion.binary_search_by_key(&node, |(node, _)| *node).ok();
    let squares = |values: &mut dyn Iterator<Item = f64>| values.map(|v| v * v).sum::<f64>();
    let mut strain = 0.0;
    for element in elements {
        let moved = element.nodes.map(of);
        if moved == [None; 2] {
            continue;
        }
        let at = |k: usize| moved[k / 6].map_or(0.0, |at| motion[at].1[k % 6] * turned(k));
        let modes = strain_modes(element, size);
        strain += squares(
            &mut modes.iter().map(|mode| mode.iter().zip(0..).map(|(m, k)| m * at(k)).sum()),
        );
    }
    let all = motion.iter().flat_map(|(_, moved)| moved.iter().zip(0..));
    (strain / squares(&mut all.map(|(v, d)| v * turned(d)))).sqrt()
}

/// Adds a row, made square to those there and of unit length.
fn push(modes: &mut Vec<[f64; 12]>, mut row: [f64; 12]) {
    for _ in 0..2 {
        for other in modes.iter() {
            let part: f64 = row.iter().zip(other).map(|(a, b)| a * b).sum();
            for (a, b) in row.iter_mut().zip(other) {
                *a -= part * b;
            }
        }
        let size = row.iter().map(|v| v * v).sum::<f64>().sqrt();
        row.iter_mut().for_each(|v| *v /= size);
    }
    modes.push(row);
}
