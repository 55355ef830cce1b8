//! Displacements, end forces and reactions, first and second order.

use super::answers::{Solution, Unknown};
use super::element::MOST;
use super::frame::{ElementForm, LoadCase};
use super::frame_check;
use super::linalg::{Ldl, Pattern};
use super::model::{Definite, Model};
use super::numbering::NONE;
use nalgebra::SVector;

/// Out-of-balance force at a node, over the largest force at hand, above which an answer is none.
const WORST_RESIDUAL: f64 = 1e-6;
/// A moment about an idle direction this small a part of all moments is round-off.
const IDLE: f64 = 1e-9;

/// The factorised first-order stiffness: one factorisation, many right-hand sides.
#[derive(Debug)]
pub struct Factored<'m> {
    model: &'m Model<'m>,
    values: Vec<f64>,
    factor: Definite<'m>,
}

impl Model<'_> {
    /// Factorises the stiffness without axial forces.
    ///
    /// # Errors
    /// [`Unknown::Singular`] where a mechanism is left, [`Unknown::IllConditioned`].
    pub fn factor(&self) -> Result<Factored<'_>, Unknown> {
        let (values, factor) = self.factor_first_order()?;
        Ok(Factored { model: self, values, factor })
    }

    /// Solves with the axial forces `factor · axial` acting on the sway: second order, linear in
    /// the case's loads. The case's loads are not multiplied by `factor`.
    ///
    /// # Errors
    /// [`Unknown::Unstable`] where `factor` is at or above the lowest critical one, or as for
    /// [`Factored::solve`].
    pub fn second_order(
        &self,
        case: &LoadCase,
        axial: &[f64],
        factor: f64,
    ) -> Result<Solution, Unknown> {
        let inertia = self.inertia(axial, factor)?;
        if inertia.negative > 0 {
            return Err(Unknown::Unstable { count: inertia.negative });
        }
        let stiffness = self.stiffness(Some((axial, factor)))?;
        let definite = self.factor_definite(&stiffness.values)?;
        let forces: Vec<f64> = axial.iter().map(|n| n * factor).collect();
        solve(self, &stiffness.values, &definite.ldl, case, &forces)
    }
}

impl Factored<'_> {
    /// Condition of the stiffness, its unknowns scaled to a diagonal of about one: how many times
    /// round-off may grow in an answer. Above 1e12 there is none.
    #[must_use]
    pub fn condition(&self) -> f64 {
        self.factor.condition
    }

    /// Solves one load case, first order.
    ///
    /// # Errors
    /// A case that does not fit the frame, or a residual that is too large.
    pub fn solve(&self, case: &LoadCase) -> Result<Solution, Unknown> {
        let none = vec![0.0; self.model.elements.len()];
        solve(self.model, &self.values, &self.factor.ldl, case, &none)
    }
}

/// What the ground holds under a case, at the nodes that were asked about.
#[derive(Clone, Debug, PartialEq)]
pub struct Held {
    /// Force and moment by which the ground holds each node, global axes.
    pub by_ground: Vec<[f64; 6]>,
    /// Out-of-balance force at a node over the largest force at hand.
    pub residual: f64,
}

impl Factored<'_> {
    /// What the ground holds at some nodes under each of many cases of nodal loads, first order: as
    /// [`Factored::solve`], where nothing else is asked. Members are taken by their matrices, each of
    /// which is made once.
    ///
    /// # Errors
    /// As [`Factored::solve`].
    pub fn hold(
        &self,
        cases: &[Vec<(usize, [f64; 6])>],
        at: &[usize],
    ) -> Result<Vec<Held>, Unknown> {
        let (model, size) = (self.model, self.model.size());
        let mut applied = Vec::with_capacity(cases.len());
        let mut load = vec![0.0; size * cases.len()];
        for (case, load) in cases.iter().zip(load.chunks_exact_mut(size.max(1))) {
            let case = LoadCase { nodal: case.clone(), uniform: Vec::new() };
            frame_check::check_case(model.frame, &case)?;
            let on_nodes = nodal_loads(model, &case);
            refuse_idle_loads(model, &on_nodes)?;
            for (number, (node, dof)) in model.numbering.dofs.iter().enumerate() {
                load[number] = on_nodes[*node][*dof] * model.scale[number];
            }
            applied.push(on_nodes);
        }
        let answers = refined(model, &self.values, &self.factor.ldl, &load)?;
        let mut largest: Vec<[f64; 2]> =
            applied.iter().map(|on| [applied_size(on, 0), applied_size(on, 3)]).collect();
        // What the nodes would need from outside: forces on members and springs less applied loads.
        let mut needed = applied;
        needed.iter_mut().flatten().flatten().for_each(|force| *force = -*force);
        for (member, element) in model.elements.iter().enumerate() {
            let matrix = element.assemble(model.form, 0.0).ok_or_else(|| too_large(member))?.matrix;
            let each = answers.chunks_exact(size.max(1)).zip(&mut needed).zip(&mut largest);
            for ((answer, needed), largest) in each {
                let forces = matrix * SVector::from(model.gather(member, answer));
                for (k, force) in forces.iter().enumerate().take(12) {
                    needed[element.nodes[k / 6]][k % 6] += force;
                    largest[k % 6 / 3] = largest[k % 6 / 3].max(force.abs());
                }
            }
        }
        let mut out = Vec::with_capacity(cases.len());
        let each = answers.chunks_exact(size.max(1)).zip(&mut needed).zip(&mut largest);
        for ((answer, needed), largest) in each {
            let displacement = model.displacements(answer);
            let mut by_springs = vec![[0.0; 6]; at.len()];
            for spring in &model.frame.springs {
                for (dof, k) in spring.k.iter().enumerate() {
                    let pull = -k * displacement[spring.node][dof];
                    needed[spring.node][dof] -= pull;
                    largest[dof / 3] = largest[dof / 3].max(pull.abs());
                    for (by, _) in by_springs.iter_mut().zip(at).filter(|(_, n)| **n == spring.node)
                    {
                        by[dof] += pull;
                    }
                }
            }
            let residual = residual(model, needed, *largest);
            if !(residual < WORST_RESIDUAL) {
                return Err(out_of_balance(residual));
            }
            let by_ground = at.iter().zip(by_springs).map(|(&node, mut by)| {
                let held = model.numbering.supported[node].iter().zip(&needed[node]);
                by.iter_mut()
                    .zip(held)
                    .filter(|(_, (held, _))| **held)
                    .for_each(|(by, (_, n))| *by += n);
                by
            });
            out.push(Held { by_ground: by_ground.collect(), residual });
        }
        Ok(out)
    }
}

fn solve(
    model: &Model<'_>,
    values: &[f64],
    ldl: &Ldl<&Pattern>,
    case: &LoadCase,
    axial: &[f64],
) -> Result<Solution, Unknown> {
    frame_check::check_case(model.frame, case)?;
    let applied = nodal_loads(model, case);
    refuse_idle_loads(model, &applied)?;
    let spread = spread_loads(model, case);
    let mut load = vec![0.0; model.size()];
    for (number, (node, dof)) in model.numbering.dofs.iter().enumerate() {
        load[number] = applied[*node][*dof] * model.scale[number];
    }
    for (member, local) in spread.iter().enumerate() {
        if *local != [0.0; 3] {
            let element = &model.elements[member];
            let on_nodes = element
                .nodal_load(model.form, axial[member], *local)
                .ok_or_else(|| too_large(member))?;
            model.scatter(member, &on_nodes, &mut load);
        }
    }
    let answer = refined(model, values, ldl, &load)?;
    let energy = energy(model, &answer, &applied, &spread, axial)?;
    recover(model, &answer, &applied, &spread, axial, energy)
}

/// Half of what the loads, brought to the nodes, do on the nodes' displacements.
fn energy(
    model: &Model<'_>,
    answer: &[f64],
    applied: &[[f64; 6]],
    spread: &[[f64; 3]],
    axial: &[f64],
) -> Result<f64, Unknown> {
    let mut work = 0.0;
    for (number, (node, dof)) in model.numbering.dofs.iter().enumerate() {
        work += applied[*node][*dof] * answer[number] * model.scale[number];
    }
    for (member, local) in spread.iter().enumerate() {
        if *local != [0.0; 3] {
            // Released ends give way to the load before it comes to the nodes, in either form.
            let on_nodes = model.elements[member]
                .nodal_load(ElementForm::Exact, axial[member], *local)
                .ok_or_else(|| too_large(member))?;
            let moved = model.gather(member, answer);
            work += on_nodes.iter().zip(&moved).take(12).map(|(f, u)| f * u).sum::<f64>();
        }
    }
    Ok(work / 2.0)
}

fn too_large(member: usize) -> Unknown {
    Unknown::IllConditioned(format!("member {member}: its axial force is far beyond buckling"))
}

fn out_of_balance(residual: f64) -> Unknown {
    Unknown::IllConditioned(format!("forces at a node are out of balance by {residual:e}"))
}

/// Solves for one right-hand side, or several one after another, and once more for what the first
/// answer left over.
fn refined(
    model: &Model<'_>,
    values: &[f64],
    ldl: &Ldl<&Pattern>,
    load: &[f64],
) -> Result<Vec<f64>, Unknown> {
    let mut answer = load.to_vec();
    ldl.solve(&mut answer)?;
    let mut rest = vec![0.0; load.len()];
    let size = model.size().max(1);
    for (answer, rest) in answer.chunks_exact(size).zip(rest.chunks_exact_mut(size)) {
        model.pattern.multiply(values, answer, rest);
    }
    for (r, f) in rest.iter_mut().zip(load) {
        *r = f - *r;
    }
    ldl.solve(&mut rest)?;
    for (a, r) in answer.iter_mut().zip(&rest) {
        *a += r;
    }
    if answer.iter().all(|a| a.is_finite()) {
        Ok(answer)
    } else {
        Err(Unknown::IllConditioned("an answer that is not finite".into()))
    }
}

fn nodal_loads(model: &Model<'_>, case: &LoadCase) -> Vec<[f64; 6]> {
    let mut applied = vec![[0.0; 6]; model.frame.nodes.len()];
    for (node, load) in &case.nodal {
        for (sum, f) in applied[*node].iter_mut().zip(load) {
            *sum += f;
        }
    }
    applied
}

/// Uniform loads per member, local axes.
fn spread_loads(model: &Model<'_>, case: &LoadCase) -> Vec<[f64; 3]> {
    let mut spread = vec![[0.0; 3]; model.elements.len()];
    for (member, load) in &case.uniform {
        let local = model.elements[*member].local_load(*load);
        for (sum, f) in spread[*member].iter_mut().zip(local) {
            *sum += f;
        }
    }
    spread
}

fn refuse_idle_loads(model: &Model<'_>, applied: &[[f64; 6]]) -> Result<(), Unknown> {
    for (node, load) in applied.iter().enumerate() {
        if model.numbering.unused[node] && load.iter().any(|f| *f != 0.0) {
            return Err(Unknown::LoadOnNothing { node });
        }
    }
    for (node, direction) in &model.numbering.idle {
        let load = &applied[*node];
        let moment = nalgebra::Vector3::new(load[3], load[4], load[5]);
        if moment.dot(direction).abs() > IDLE * moment.norm() * direction.norm() {
            return Err(Unknown::LoadOnNothing { node: *node });
        }
    }
    Ok(())
}

fn recover(
    model: &Model<'_>,
    answer: &[f64],
    applied: &[[f64; 6]],
    spread: &[[f64; 3]],
    axial: &[f64],
    strain_energy: f64,
) -> Result<Solution, Unknown> {
    let displacement = model.displacements(answer);
    let mut end_forces = Vec::with_capacity(model.elements.len());
    // What the nodes would need from outside: forces on members and springs less applied loads.
    let mut needed: Vec<[f64; 6]> = applied.iter().map(|f| f.map(|v| -v)).collect();
    let mut largest = [applied_size(applied, 0), applied_size(applied, 3)];
    for (member, element) in model.elements.iter().enumerate() {
        let d: [f64; MOST] = model.gather(member, answer);
        let ends = element
            .end_forces(model.form, axial[member], spread[member], &d)
            .ok_or_else(|| too_large(member))?;
        for (end, forces) in ends.iter().enumerate() {
            let at_node = element.at_node(end, forces, axial[member], &d);
            for (part, global) in at_node.into_iter().enumerate() {
                largest[part] = largest[part].max(global.amax());
                for axis in 0..3 {
                    needed[element.nodes[end]][3 * part + axis] += global[axis];
                }
            }
        }
        end_forces.push(ends);
    }
    let mut grounded: Vec<bool> =
        model.numbering.supported.iter().map(|s| s.iter().any(|f| *f)).collect();
    let mut from_ground = vec![[0.0; 6]; displacement.len()];
    for spring in &model.frame.springs {
        grounded[spring.node] = true;
        for (dof, k) in spring.k.iter().enumerate() {
            let pull = -k * displacement[spring.node][dof];
            from_ground[spring.node][dof] += pull;
            needed[spring.node][dof] -= pull;
            largest[dof / 3] = largest[dof / 3].max(pull.abs());
        }
    }
    let mut pin_reactions = vec![0.0; model.pins.len()];
    for (reaction, (node, dof)) in pin_reactions.iter_mut().zip(&model.pins) {
        if !model.numbering.supported[*node][*dof] {
            *reaction = needed[*node][*dof];
        }
    }
    let residual = residual(model, &needed, largest);
    if !(residual < WORST_RESIDUAL) {
        return Err(out_of_balance(residual));
    }
    for (node, held) in model.numbering.supported.iter().enumerate() {
        for (dof, held) in held.iter().enumerate() {
            if *held {
                from_ground[node][dof] += needed[node][dof];
            }
        }
    }
    let reactions =
        (0..displacement.len()).filter(|n| grounded[*n]).map(|n| (n, from_ground[n])).collect();
    let axial = end_forces.iter().map(|e| f64::midpoint(e[1][0], -e[0][0])).collect();
    Ok(Solution {
        displacement,
        end_forces,
        axial,
        reactions,
        pin_reactions,
        strain_energy,
        residual,
    })
}

fn applied_size(applied: &[[f64; 6]], from: usize) -> f64 {
    applied.iter().flat_map(|f| &f[from..from + 3]).fold(0.0, |m, f| f64::max(m, f.abs()))
}

/// Largest out-of-balance at the unknowns, over the largest force (or moment, or force times
/// frame size where there are hardly moments).
fn residual(model: &Model<'_>, needed: &[[f64; 6]], largest: [f64; 2]) -> f64 {
    let mean = model.mean_length();
    let against = [
        largest[0].max(largest[1] / mean.max(f64::MIN_POSITIVE)),
        largest[1].max(largest[0] * mean),
    ];
    let mut worst: f64 = 0.0;
    for (node, dof) in &model.numbering.dofs {
        debug_assert!(model.numbering.equation[*node][*dof] != NONE);
        let out = needed[*node][*dof].abs();
        if out > 0.0 {
            worst = worst.max(out / against[dof / 3]);
        }
    }
    worst
}
