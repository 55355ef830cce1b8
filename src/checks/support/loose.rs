//! Posts that move freely, sorted into groups that move together.
//!
//! The mechanics gives a basis of all free motions; one motion of the basis may mix two faults
//! that have nothing to do with one another. So the posts are first gathered into clusters that
//! bars along the direction tie together, and the table of motions by clusters is brought to
//! reduced row echelon form: clusters that share a row cannot move without one another.

use super::{heads_met, parallel, passes, plan_direction, runs_head_to_head};
use crate::assembly::{Assembly, JointKind, MemberId};
use crate::mechanics::StageMechanics;
use crate::restraint::Restraint;
use crate::sequence::Stage;
use petgraph::unionfind::UnionFind;
use std::collections::{BTreeMap, BTreeSet};

/// Share of the largest movement below which a post is taken to stand still.
const MOVES: f64 = 0.02;

/// A line of posts that is free along itself.
#[derive(Clone, Debug, PartialEq)]
pub struct LooseLine {
    /// Sorted.
    pub posts: Vec<MemberId>,
    /// Plan direction of the movement, unit vector.
    pub direction: [f64; 2],
    /// Block and name of the grid line, where the posts are all on one.
    pub line: Option<(String, String)>,
}

/// Posts with their hands off that move together without straining anything.
#[derive(Clone, Debug, PartialEq)]
pub struct LooseGroup {
    /// Sorted, each once.
    pub posts: Vec<MemberId>,
    /// One for each line and direction; more than one where they only move together.
    pub lines: Vec<LooseLine>,
    /// Index of the mechanism that moves it most.
    pub mechanism: usize,
    /// Posts for which the restraint graph found a path all the same.
    pub graph_holds: Vec<MemberId>,
}

impl LooseGroup {
    /// Key shared by everything that this group explains.
    #[must_use]
    pub fn cause(&self, assembly: &Assembly) -> String {
        let mut keys: Vec<String> = self
            .lines
            .iter()
            .map(|l| match &l.line {
                Some((block, line)) => format!("line:{block}:{line}:{}", axis(l.direction)),
                None => format!(
                    "post:{}:{}",
                    l.posts.first().map_or("", |&p| assembly.name(p)),
                    axis(l.direction)
                ),
            })
            .collect();
        keys.sort();
        keys.dedup();
        keys.join("+")
    }
    /// Axes it is free along, for recognising it again at the next stage.
    #[must_use]
    pub fn axes(&self) -> String {
        let axes: BTreeSet<&str> = self.lines.iter().map(|l| axis(l.direction)).collect();
        axes.into_iter().collect::<Vec<_>>().join("+")
    }
    /// `along line C`, or `along x`.
    #[must_use]
    pub fn along(&self) -> String {
        let mut names: Vec<String> = Vec::new();
        for line in &self.lines {
            let name = match &line.line {
                Some((_, line)) => format!("line {line}"),
                None => axis(line.direction).to_owned(),
            };
            if !names.contains(&name) {
                names.push(name);
            }
        }
        format!("along {}", super::list(&names))
    }
}

fn axis(direction: [f64; 2]) -> &'static str {
    if direction[0].abs() >= direction[1].abs() { "x" } else { "y" }
}

/// A post and one of its two directions.
#[derive(Clone, Copy, Debug)]
struct Way {
    post: MemberId,
    direction: [f64; 2],
}

/// All groups of the stage, in order of their first post.
#[must_use]
pub fn loose_groups(
    assembly: &Assembly,
    stage: &Stage,
    restraint: &Restraint,
    mechanics: &StageMechanics,
) -> Vec<LooseGroup> {
    if mechanics.mechanisms.is_empty() {
        return Vec::new();
    }
    let directions = directions(restraint);
    let mut ways: Vec<Way> = Vec::new();
    let mut index: BTreeMap<(MemberId, usize), usize> = BTreeMap::new();
    // By mechanism: way and amplitude.
    let mut table: Vec<BTreeMap<usize, f64>> = Vec::new();
    for mechanism in &mechanics.mechanisms {
        let moving: Vec<(MemberId, [f64; 2])> = mechanism
            .motion
            .members
            .iter()
            .filter_map(|m| {
                let id = assembly.find(&m.name)?;
                (assembly.member(id).is_post() && stage.stands(id))
                    .then_some((id, [m.second_end[0], m.second_end[1]]))
            })
            .collect();
        let most = moving.iter().map(|(_, u)| u[0].hypot(u[1])).fold(0.0, f64::max);
        let mut row = BTreeMap::new();
        for (post, u) in moving {
            let axes = directions.get(&post).map_or(&[[1.0, 0.0], [0.0, 1.0]][..], |d| d);
            for (k, &direction) in axes.iter().enumerate() {
                let amplitude = u[0] * direction[0] + u[1] * direction[1];
                if most > 0.0 && amplitude.abs() > MOVES * most {
                    let way = *index.entry((post, k)).or_insert_with(|| {
                        ways.push(Way { post, direction });
                        ways.len() - 1
                    });
                    row.insert(way, amplitude);
                }
            }
        }
        table.push(row);
    }
    let clusters = clusters(assembly, stage, restraint, &ways);
    group(assembly, restraint, &ways, &clusters, &table)
}

fn directions(restraint: &Restraint) -> BTreeMap<MemberId, Vec<[f64; 2]>> {
    let mut all: BTreeMap<MemberId, Vec<[f64; 2]>> = BTreeMap::new();
    for hold in &restraint.holds {
        all.entry(hold.post).or_default().push(hold.direction);
    }
    all
}

/// Ways that bars along their direction, or a splice, tie to one another. Cluster number by way.
fn clusters(assembly: &Assembly, stage: &Stage, restraint: &Restraint, ways: &[Way]) -> Vec<usize> {
    let mut by_post: BTreeMap<MemberId, Vec<usize>> = BTreeMap::new();
    for (i, way) in ways.iter().enumerate() {
        by_post.entry(way.post).or_default().push(i);
    }
    let mut sets = UnionFind::<usize>::new(ways.len());
    let mut tie = |a: MemberId, b: MemberId, direction: Option<[f64; 2]>| {
        for &i in by_post.get(&a).into_iter().flatten() {
            for &j in by_post.get(&b).into_iter().flatten() {
                let same = parallel(ways[i].direction, ways[j].direction);
                if same && direction.is_none_or(|d| parallel(d, ways[i].direction)) {
                    sets.union(i, j);
                }
            }
        }
    };
    for member in &assembly.members {
        if !stage.stands(member.id) {
            continue;
        }
        if member.is_post() {
            for joint in super::carried_by(assembly, member.id, JointKind::Splice) {
                if let Some(lower) = joint.carrier {
                    tie(lower, member.id, None);
                }
            }
        } else if runs_head_to_head(member.role)
            && let Some(direction) = plan_direction(member)
        {
            let met: Vec<MemberId> = heads_met(assembly, member.id)
                .into_iter()
                .filter(|&(_, j)| {
                    passes(assembly.joint(j), stage.joint(j)).is_some_and(|p| p.along)
                })
                .map(|(post, _)| post)
                .collect();
            for pair in met.windows(2) {
                tie(pair[0], pair[1], Some(direction));
            }
        }
    }
    for hold in restraint.holds.iter().filter(|h| h.path.is_empty()) {
        for &other in &hold.loose_line {
            if other != hold.post {
                tie(hold.post, other, Some(hold.direction));
            }
        }
    }
    sets.into_labeling()
}

fn group(
    assembly: &Assembly,
    restraint: &Restraint,
    ways: &[Way],
    clusters: &[usize],
    table: &[BTreeMap<usize, f64>],
) -> Vec<LooseGroup> {
    let mut columns: Vec<usize> = clusters.to_vec();
    columns.sort_unstable();
    columns.dedup();
    let column = |way: usize| columns.binary_search(&clusters[way]).unwrap_or(0);
    let mut rows = vec![vec![0.0; columns.len()]; table.len()];
    for (row, motion) in rows.iter_mut().zip(table) {
        for (&way, &amplitude) in motion {
            let cell: &mut f64 = &mut row[column(way)];
            if amplitude.abs() > cell.abs() {
                *cell = amplitude;
            }
        }
    }
    let most = |c: usize| {
        let size = |m: &usize| rows[*m][c].abs();
        (0..rows.len()).rev().max_by(|a, b| size(a).total_cmp(&size(b))).unwrap_or(0)
    };
    let strongest: Vec<usize> = (0..columns.len()).map(most).collect();
    let mut sets = UnionFind::<usize>::new(columns.len());
    for row in reduced(rows) {
        let together: Vec<usize> = (0..columns.len()).filter(|&c| row[c].abs() > MOVES).collect();
        for pair in together.windows(2) {
            sets.union(pair[0], pair[1]);
        }
    }
    let mut groups: BTreeMap<usize, BTreeMap<usize, Vec<usize>>> = BTreeMap::new();
    for way in 0..ways.len() {
        let c = column(way);
        groups.entry(sets.find(c)).or_default().entry(c).or_default().push(way);
    }
    let mut all: Vec<LooseGroup> = groups
        .into_values()
        .map(|lines| {
            let mechanism = lines.keys().next().map_or(0, |&c| strongest[c]);
            let mut posts: BTreeSet<MemberId> = BTreeSet::new();
            let mut graph_holds: BTreeSet<MemberId> = BTreeSet::new();
            let lines: Vec<LooseLine> = lines
                .into_values()
                .map(|members| {
                    let direction = ways[members[0]].direction;
                    let mut on: Vec<MemberId> = members.iter().map(|&w| ways[w].post).collect();
                    on.sort_unstable();
                    on.dedup();
                    posts.extend(&on);
                    graph_holds.extend(on.iter().filter(|&&p| {
                        restraint.hold(p, direction).is_some_and(|h| !h.path.is_empty())
                    }));
                    let line = line_of(assembly, &on, direction);
                    LooseLine { posts: on, direction, line }
                })
                .collect();
            LooseGroup {
                posts: posts.into_iter().collect(),
                lines,
                mechanism,
                graph_holds: graph_holds.into_iter().collect(),
            }
        })
        .collect();
    all.sort_by(|a, b| a.posts.cmp(&b.posts).then_with(|| a.axes().cmp(&b.axes())));
    all
}

/// Reduced row echelon form with partial pivoting; each pivot is 1.
fn reduced(mut rows: Vec<Vec<f64>>) -> Vec<Vec<f64>> {
    let width = rows.first().map_or(0, Vec::len);
    let mut top = 0;
    for c in 0..width {
        let Some(best) =
            (top..rows.len()).max_by(|&a, &b| rows[a][c].abs().total_cmp(&rows[b][c].abs()))
        else {
            break;
        };
        if rows[best][c].abs() < 1e-6 {
            continue;
        }
        rows.swap(top, best);
        let pivot = rows[top][c];
        rows[top].iter_mut().for_each(|v| *v /= pivot);
        let pivot_row = rows[top].clone();
        for (r, row) in rows.iter_mut().enumerate() {
            let factor = row[c];
            if r != top && factor != 0.0 {
                row.iter_mut().zip(&pivot_row).for_each(|(v, p)| *v -= factor * p);
            }
        }
        top += 1;
    }
    rows.truncate(top);
    rows
}

/// The grid line on which all the posts are and that runs in the direction.
fn line_of(
    assembly: &Assembly,
    posts: &[MemberId],
    direction: [f64; 2],
) -> Option<(String, String)> {
    let block = assembly.member(*posts.first()?).block.as_ref()?;
    assembly
        .grid_lines
        .iter()
        .filter(|line| line.block == *block)
        .find(|line| {
            let d = line.ends[1] - line.ends[0];
            let length = d.x.hypot(d.y);
            length > 0.0
                && parallel([d.x / length, d.y / length], direction)
                && posts.iter().all(|&p| {
                    let v = assembly.member(p).ends[1] - line.ends[0];
                    ((v.x * d.y - v.y * d.x) / length).abs() < 0.05
                })
        })
        .map(|line| (line.block.clone(), line.name.clone()))
}
