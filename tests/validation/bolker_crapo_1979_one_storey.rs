//! One-storey buildings on hinged vertical posts. Bolker and Crapo, "Bracing rectangular
//! frameworks I", SIAM J. Appl. Math. 36 (1979) 473–490; Recski and Schwärzler 1992.
//!
//! ```text
//!   y                 k bays along x, l along y; ledgers along every grid line;
//!   ^   o---o---o     a "wall" is one diagonal in a vertical bay of a grid line;
//!   |   | / |   |     a "roof" brace is a diagonal of a cell between heads
//!   |   o---o---o
//!   +------> x
//! ```
//! Without braces there are k + l + 2 mechanisms (counted by rank for 1 × 1 to 3 × 3). With one
//! wall in each outer side, k + l − 2 roof braces do exactly where their graph of rows and columns
//! is a forest of two components that is not symmetric: the ratio of columns to rows of a
//! component is not k : l (equal bays; the criterion from memory, checked here by rank).

use super::bar_frames::{Post, Posts, components, patterns};

#[derive(Clone, Copy)]
enum Wall {
    /// Along x, on the line of this number in y, in this bay.
    X(usize, usize),
    Y(usize, usize),
}

fn storey(k: usize, l: usize, walls: &[Wall], roof: &[(usize, usize)]) -> usize {
    let mut f = Posts::new(false);
    let posts: Vec<Vec<Post>> =
        (0..=k).map(|x| (0..=l).map(|y| f.post(x as f64, y as f64)).collect()).collect();
    for x in 0..=k {
        for y in 0..=l {
            if x < k {
                f.ledger(posts[x][y], posts[x + 1][y]);
            }
            if y < l {
                f.ledger(posts[x][y], posts[x][y + 1]);
            }
        }
    }
    for wall in walls {
        match *wall {
            Wall::X(line, bay) => f.wall(posts[bay][line], posts[bay + 1][line]),
            Wall::Y(line, bay) => f.wall(posts[line][bay], posts[line][bay + 1]),
        }
    }
    for (x, y) in roof {
        f.plan(posts[*x][*y], posts[x + 1][y + 1]);
    }
    f.count()
}

fn outer(k: usize, l: usize) -> [Wall; 4] {
    [Wall::X(0, 0), Wall::X(l, 0), Wall::Y(0, 0), Wall::Y(k, 0)]
}

#[test]
fn unbraced_storeys() {
    for k in 1..=3 {
        for l in 1..=3 {
            let computed = storey(k, l, &[], &[]);
            println!("{k} × {l} unbraced: expected {} computed {computed}", k + l + 2);
            assert_eq!(computed, k + l + 2);
        }
    }
}

#[test]
fn the_published_cases() {
    // 1 × 1: four walls need no roof brace; three do.
    assert_eq!(storey(1, 1, &outer(1, 1), &[]), 0);
    assert_eq!(storey(1, 1, &outer(1, 1)[..3], &[]), 1);
    assert_eq!(storey(1, 1, &outer(1, 1)[..3], &[(0, 0)]), 0);
    assert_eq!(storey(1, 1, &[Wall::X(0, 0), Wall::Y(0, 0)], &[(0, 0)]), 1);
    // 2 × 2, four outer walls: a symmetric and an asymmetric pair of roof braces.
    assert_eq!(storey(2, 2, &outer(2, 2), &[(0, 0), (1, 1)]), 1);
    assert_eq!(storey(2, 2, &outer(2, 2), &[(0, 0), (0, 1)]), 0);
    // 2 × 2, rigid roof on three walls: two on one line, or all through one corner.
    let roof = [(0, 0), (0, 1), (1, 0), (1, 1)];
    assert_eq!(storey(2, 2, &[Wall::X(0, 0), Wall::X(0, 1), Wall::Y(0, 0)], &roof), 1);
    assert_eq!(storey(2, 2, &[Wall::X(0, 0), Wall::Y(0, 0), Wall::Y(0, 1)], &roof), 1);
    // And three suitable walls.
    assert_eq!(storey(2, 2, &[Wall::X(0, 0), Wall::X(2, 0), Wall::Y(0, 0)], &roof), 0);
}

/// The paper's opening case: a 3 × 3 storey on four wall and four roof braces.
#[test]
fn three_by_three_on_eight_braces() {
    let rigid = patterns(3, 3)
        .filter(|roof| roof.len() == 4)
        .filter(|roof| storey(3, 3, &outer(3, 3), roof) == 0)
        .count();
    println!("3 × 3: {rigid} of 126 patterns of four roof braces hold");
    assert!(rigid > 0);
}

#[test]
fn roof_braces_hold_where_the_forest_is_asymmetric() {
    for (k, l) in [(2, 1), (2, 2), (3, 2), (3, 3)] {
        let (mut held, mut all) = (0, 0);
        for roof in patterns(k, l).filter(|roof| roof.len() == k + l - 2) {
            let expected = asymmetric_forest(k, l, &roof);
            let computed = storey(k, l, &outer(k, l), &roof) == 0;
            assert_eq!(computed, expected, "{k} × {l} {roof:?}");
            held += usize::from(computed);
            all += 1;
        }
        println!("{k} × {l}: {held} of {all} patterns of {} roof braces hold", k + l - 2);
    }
}

/// k + l − 2 edges in two components have no circuit; symmetric where a component has columns and
/// rows as k : l.
fn asymmetric_forest(k: usize, l: usize, roof: &[(usize, usize)]) -> bool {
    if components(k, l, roof) != 2 {
        return false;
    }
    // The component of the first column of cells along x.
    let mut inside = vec![false; k + l];
    inside[0] = true;
    for _ in 0..k + l {
        for (x, y) in roof {
            if inside[*x] || inside[k + y] {
                (inside[*x], inside[k + y]) = (true, true);
            }
        }
    }
    let along_x = inside[..k].iter().filter(|i| **i).count();
    let along_y = inside[k..].iter().filter(|i| **i).count();
    along_x * l != along_y * k
}
