//! Posts by table and from their section.

use super::prints;
use standwell::capacity::Work;
use standwell::capacity::post::capacity;
use standwell::criteria::Pack;
use standwell::equipment::Library;
use standwell::equipment::model::{
    AluminiumClass, Basis, Material, Method, Post, PropClass, SectionRule, SteelCurve,
};

const FT: f64 = 0.3048;

fn post(name: &str) -> Post {
    let library: Library =
        ron::from_str(include_str!("../../assets/equipment/sample.ron")).unwrap();
    library.posts[name].clone()
}

fn pack(text: &str) -> Pack {
    ron::from_str(text).unwrap()
}

fn us() -> Pack {
    pack(include_str!("../../assets/criteria/us.ron"))
}

fn eu() -> Pack {
    pack(include_str!("../../assets/criteria/eu.ron"))
}

fn of(post: &Post, pack: &Pack, height: f64) -> Result<f64, String> {
    capacity(&mut Work::silent(), pack, ("post", post), height)
        .map(|c| c.force.si / 1e3)
        .map_err(|missing| missing.to_string())
}

#[test]
fn the_next_taller_row_over_the_factor_of_its_basis() {
    let mut post = post("prop-35");
    // Characteristic 32 kN at 3 m, for 2.51 m too: over 3.0 in the US, 1.65 in Europe.
    assert_eq!(post.capacity.basis, Basis::Characteristic);
    prints(of(&post, &us(), 2.51).unwrap(), 32.0 / 3.0, 1e-6, "us");
    prints(of(&post, &eu(), 2.51).unwrap(), 32.0 / 1.65, 1e-6, "eu");
    post.capacity.basis = Basis::SafeWorkingLoad;
    prints(of(&post, &eu(), 2.51).unwrap(), 32.0, 1e-6, "a safe working load is not divided");
    let beyond = of(&post, &eu(), 3.51).unwrap_err();
    assert!(beyond.contains("table ends below it"), "{beyond}");
}

fn by(method: Method) -> Post {
    let mut post = post("post-10");
    post.capacity.rows.clear();
    post.capacity.from_section = Some(SectionRule { by: method, k: 1.0 });
    post
}

/// The inner tube, 76 x 4 mm, over 10 ft: A 905 mm², r 25.49 mm, S = 119.6, fy 240, E 200 000 N/mm². By
/// hand: AISC Fe 138.0, Fcr 0.658^(240/138) 240 = 115.9 N/mm², over 1.67: 62.8 kN. EN curve c: lambda
/// 1.319, phi 1.644, chi 0.3815: 91.6 N/mm², over 1.65: 50.2 kN.
#[test]
fn from_the_section_of_the_weaker_tube() {
    let height = 10.0 * FT;
    prints(of(&by(Method::Aisc360), &us(), height).unwrap(), 62.8, 0.1, "AISC 360 E3");
    prints(of(&by(Method::En1993(SteelCurve::C)), &eu(), height).unwrap(), 50.2, 0.1, "EN 1993");
    // K enters squared in the elastic range: twice the length, a quarter.
    let mut long = by(Method::Aisc360);
    let elastic = of(&long, &us(), 2.0 * height).unwrap();
    long.capacity.from_section = Some(SectionRule { by: Method::Aisc360, k: 2.0 });
    prints(of(&long, &us(), height).unwrap(), elastic, 1e-9, "K L is what counts");
    prints(of(&long, &us(), 2.0 * height).unwrap(), elastic / 4.0, 1e-9, "Euler");
}

/// EN 1065 class B of 3.048 m fully out: 68 / 3.048 = 22.3 kN, over 1.65.
#[test]
fn by_prop_class() {
    let found = of(&by(Method::En1065(PropClass::B)), &eu(), 10.0 * FT).unwrap();
    prints(found, 68.0 / 3.048 / 1.65, 1e-6, "B30");
}

#[test]
fn other_materials_take_other_factors() {
    let mut post = by(Method::En1999(AluminiumClass::A));
    post.material = Some(Material::Aluminium);
    for section in [&mut post.outer, &mut post.inner] {
        section.e.0 = 70e9;
    }
    // lambda = 119.6 / pi sqrt(240 / 70 000) = 2.229; phi 3.197, chi 0.1823 (by hand).
    let due = 905.0 * 0.1823 * 240.0 / 1e3 / 1.65;
    prints(of(&post, &eu(), 10.0 * FT).unwrap(), due, 0.1, "EN 1999 class A");
    let adm = by(Method::Adm2010);
    let mut adm = adm;
    for section in [&mut adm.outer, &mut adm.inner] {
        section.e.0 = 70e9;
    }
    // Elastic: 0.85 pi² E / S² = 41.05 N/mm², over 1.65.
    prints(of(&adm, &us(), 10.0 * FT).unwrap(), 905.0 * 41.05 / 1e3 / 1.65, 0.1, "ADM 2010");
}

#[test]
fn the_lesser_of_table_and_section_counts() {
    let mut post = post("post-10");
    post.capacity.from_section = Some(SectionRule { by: Method::Aisc360, k: 1.0 });
    prints(of(&post, &us(), 10.0 * FT).unwrap(), 36.0, 1e-6, "the table's 36 kN, below 62.8 kN");
    post.capacity.from_section = Some(SectionRule { by: Method::Aisc360, k: 2.1 });
    let cantilever = of(&post, &us(), 10.0 * FT).unwrap();
    assert!(cantilever < 36.0, "a free head takes less: {cantilever}");
    post.capacity.rows.clear();
    post.capacity.from_section = None;
    assert!(of(&post, &us(), 2.0).unwrap_err().contains("neither a table nor a section rule"));
}
