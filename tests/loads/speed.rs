//! How long a floor takes. Prints; the time itself depends on the machine.

use super::fixture::{BEARING, Site, pack};
use standwell::assembly::{JointKind, Role};
use standwell::sequence::JointState;

#[test]
#[ignore = "a measurement, not a check"]
fn speed_of_a_floor() {
    let mut site = Site::default();
    let (nx, ny) = (16, 10);
    let name = |i: usize, j: usize| format!("{}{}", char::from(b'A' + i as u8), j + 1);
    for i in 0..=nx {
        for j in 0..=ny {
            site.post(&name(i, j), 2.0 * i as f64, 2.0 * j as f64);
        }
    }
    let mut ledgers = std::collections::BTreeMap::new();
    for i in 0..=nx {
        for j in 0..=ny {
            if i < nx {
                ledgers.insert((i, j), site.ledger(&name(i, j), &name(i + 1, j)));
            }
            if j < ny {
                site.beam(Role::Joist, &name(i, j), &name(i, j + 1));
            }
        }
    }
    for i in 0..nx {
        for j in 0..ny {
            let (x, y) = (2.0 * i as f64, 2.0 * j as f64);
            let mut lines = vec![
                format!("joist.{}-{}", name(i, j), name(i, j + 1)),
                format!("joist.{}-{}", name(i + 1, j), name(i + 1, j + 1)),
            ];
            for k in 1..=4 {
                let s = 0.4 * f64::from(k);
                let f = format!("filler.{i}.{j}.{k}");
                site.member(&f, Role::Filler, [x + s, y, 3.0], [x + s, y + 2.0, 3.0], 40.0);
                for (at, jj) in [(0.0, j), (2.0, j + 1)] {
                    let l = &ledgers[&(i, jj)];
                    site.joint(JointKind::Rest, &f, at, Some((l, s)), BEARING, JointState::Hung);
                }
                lines.push(f);
            }
            for k in 0..8 {
                let s = format!("sheet.{i}.{j}.{k}");
                let y = y + 0.25 * f64::from(k);
                site.member(&s, Role::Sheet, [x, y, 3.0], [x + 2.0, y + 0.25, 3.0], 60.0);
                for l in &lines {
                    site.joint(JointKind::Rest, &s, 0.0, Some((l, 1.0)), BEARING, JointState::Hung);
                }
            }
        }
    }
    let (assembly, stage) = site.build();
    println!("{} members, {} joints", assembly.members.len(), assembly.joints.len());
    let pack = pack();
    let rounds = 50;
    let start = std::time::Instant::now();
    let mut loads = Default::default();
    for _ in 0..rounds {
        loads = standwell::loads::take_down(&assembly, &pack, &stage);
    }
    println!("take_down {:?} a stage", start.elapsed() / rounds);
    let start = std::time::Instant::now();
    for _ in 0..rounds {
        std::hint::black_box(standwell::restraint::of_stage(&assembly, &stage));
    }
    println!("restraint {:?} a stage", start.elapsed() / rounds);
    let start = std::time::Instant::now();
    for _ in 0..rounds {
        std::hint::black_box(standwell::equilibrium::judge_stage(&assembly, &pack, &stage, &loads));
    }
    println!("equilibrium {:?} a stage", start.elapsed() / rounds);
}
