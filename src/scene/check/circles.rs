//! Single members whose places refer to each other in a circle: none of them lies anywhere.

use super::Check;
use crate::scene::model::{Place, SingleMember};
use petgraph::algo::tarjan_scc;
use petgraph::graph::{DiGraph, NodeIndex};
use std::collections::BTreeMap;

pub(super) fn check(check: &mut Check<'_>) {
    let members = &check.scene.members;
    let mut graph: DiGraph<usize, ()> = DiGraph::new();
    let nodes: Vec<NodeIndex> = (0..members.len()).map(|i| graph.add_node(i)).collect();
    let by_name: BTreeMap<&str, usize> =
        members.iter().enumerate().map(|(i, m)| (m.name.as_str(), i)).collect();
    for (i, member) in members.iter().enumerate() {
        for name in refers_to(member) {
            if let Some(&other) = by_name.get(name) {
                graph.add_edge(nodes[i], nodes[other], ());
            }
        }
    }
    let mut circles: Vec<Vec<usize>> = tarjan_scc(&graph)
        .into_iter()
        .filter(|group| group.len() > 1 || group.iter().any(|&n| graph.find_edge(n, n).is_some()))
        .map(|group| {
            let mut group: Vec<usize> = group.into_iter().map(|n| graph[n]).collect();
            group.sort_unstable();
            group
        })
        .collect();
    circles.sort_unstable();
    for group in circles {
        let names: Vec<&str> = group.iter().map(|&i| members[i].name.as_str()).collect();
        let message = match names.as_slice() {
            [only] => format!("\"{only}\" takes its place from itself"),
            _ => format!(
                "{} take their places from each other in a circle: at least one of them must \
                 stand on its own",
                names.join(", ")
            ),
        };
        check.at(&format!("members[{}].from", group[0]), message);
    }
}

fn refers_to(member: &SingleMember) -> impl Iterator<Item = &str> {
    [Some(&member.from), member.to.as_ref()].into_iter().flatten().filter_map(|place| match place {
        Place::Head(name) | Place::Foot(name) | Place::On(name, _) => Some(name.as_str()),
        Place::At(..) | Place::Permanent(..) => None,
    })
}
