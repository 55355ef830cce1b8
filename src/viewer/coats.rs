//! What members are painted with. One material draws them all: a list of looks, one number a member,
//! lies beside a palette where the graphics card can read them. A change of stage writes the list anew
//! and leaves every mesh alone.
//!
//! The list lies in a picture of numbers, read where corners are worked out. Every adapter can do that,
//! while old ones cannot read lists of another kind there. Known to work by `tests/viewer/pictures.rs`,
//! which draws the same stage with the least any adapter has to offer.

use crate::viewer::materials::{Coat, Stroke, all_coats, all_strokes, coat_ink, stroke_ink};
use crate::viewer::own_material;
use crate::viewer::scenery;
use crate::viewer::shapes::bulk::{ATTRIBUTE_LIT, ATTRIBUTE_MEMBER};
use crate::viewer::stage_paint::Paint;
use crate::viewer::theme::Palette;
use bevy::asset::{RenderAssetUsages, uuid_handle};
use bevy::mesh::MeshVertexBufferLayoutRef;
use bevy::pbr::{MaterialPipeline, MaterialPipelineKey};
use bevy::prelude::*;
use bevy::render::render_resource::{
    AsBindGroup, Extent3d, RenderPipelineDescriptor, ShaderType, SpecializedMeshPipelineError,
    TextureDimension, TextureFormat, TextureUsages,
};
use bevy::shader::{Shader, ShaderRef};

const DRAWN: Handle<Shader> = uuid_handle!("6f0a9c5e-7d35-4a0e-9a59-6a4e3a6f2b01");
const SHADOW: Handle<Shader> = uuid_handle!("6f0a9c5e-7d35-4a0e-9a59-6a4e3a6f2b02");

/// Colours: coats from 0, strokes from [`STROKES`].
const COLOURS: usize = 48;
const STROKES: usize = 32;

/// Numbers in a row of the picture that holds the looks; the shaders have it too. Adapters have room for
/// 2048 rows or more: two million members.
const ROW: usize = 1024;

/// How much nearer to the eye a line is drawn than where it lies, metres: it has to win over the
/// surfaces it is the edge of, and not over a sheet laid on them.
const LINE_LIFT: f32 = 0.002;
/// What the next stronger look is nearer by, metres, so that the stronger of two that lie on one
/// another is seen, whichever is drawn first. From 500 m off, the farthest a drawing is made from,
/// single precision still tells 0.03 mm.
pub const LINE_STEP: f32 = 0.000_2;
const SURFACE_STEP: f32 = 0.000_05;

/// The material of all members.
#[derive(Asset, TypePath, AsBindGroup, Clone, Debug)]
pub struct CoatMaterial {
    /// A number a member: see [`code`].
    #[texture(0, sample_type = "u_int", visibility(vertex, fragment))]
    looks: Handle<Image>,
    #[uniform(1)]
    tints: Tints,
}

/// The palette as the shader reads it.
#[derive(ShaderType, Clone, Debug)]
struct Tints {
    /// Linear colours with, of coats, the share of it that shines in the shade.
    colours: [Vec4; COLOURS],
    /// What each is nearer by, metres, first of four.
    lifts: [Vec4; COLOURS],
    /// The way to the sun; its light, lux; the light from all round, candela a square metre.
    to_sun: Vec4,
    sun: Vec4,
    around: Vec4,
}

impl Default for Tints {
    fn default() -> Self {
        let none = [Vec4::ZERO; COLOURS];
        let dark = Vec4::ZERO;
        Self { colours: none, lifts: none, to_sun: dark, sun: dark, around: dark }
    }
}

impl Material for CoatMaterial {
    fn vertex_shader() -> ShaderRef {
        ShaderRef::Handle(DRAWN)
    }
    fn fragment_shader() -> ShaderRef {
        ShaderRef::Handle(DRAWN)
    }
    fn prepass_vertex_shader() -> ShaderRef {
        ShaderRef::Handle(SHADOW)
    }
    fn specialize(
        _: &MaterialPipeline,
        descriptor: &mut RenderPipelineDescriptor,
        layout: &MeshVertexBufferLayoutRef,
        _: MaterialPipelineKey<Self>,
    ) -> Result<(), SpecializedMeshPipelineError> {
        let mut numbers = vec![Mesh::ATTRIBUTE_POSITION, ATTRIBUTE_MEMBER];
        if layout.0.contains(ATTRIBUTE_LIT) {
            numbers.push(ATTRIBUTE_LIT);
            descriptor.vertex.shader_defs.push("SOLID".into());
            if let Some(fragment) = &mut descriptor.fragment {
                fragment.shader_defs.push("SOLID".into());
            }
        }
        own_material::corners(descriptor, layout, &numbers)
    }
}

/// The shaders, and the material where there is a renderer.
pub fn plugin(app: &mut App) {
    if !own_material::known::<CoatMaterial>(app) {
        // With a renderer they are there, and some are in use.
        app.init_asset::<Image>();
    }
    app.init_resource::<Coats>();
    own_material::shaders(
        app,
        [
            (&DRAWN, include_str!("coats.wgsl"), "coats.wgsl"),
            (&SHADOW, include_str!("coats_shadow.wgsl"), "coats_shadow.wgsl"),
        ],
    );
}

/// The looks of all members now.
#[derive(Resource, Default)]
pub struct Coats {
    pub material: Handle<CoatMaterial>,
    picture: Handle<Image>,
    looks: Vec<u32>,
    tints: Tints,
    changed: bool,
    casts: u64,
}

/// What of a look says whether the member casts a shadow, and which copy of it.
const COAT: u32 = 0xff;
const MOVING: u32 = 1 << 16;

/// A look as the shader reads it: coat and stroke, counted from 1; 0 is none. Bit 16 says that the
/// member moves. The stroke of what is to come has a bit of its own.
#[must_use]
pub fn code(paint: Paint) -> u32 {
    let coat = paint.coat.and_then(|c| all_coats().position(|k| k == c));
    let stroke = paint.stroke.and_then(|s| all_strokes().position(|k| k == s));
    let number = |at: Option<usize>| at.map_or(0, |i| i as u32 + 1);
    let to_come = u32::from(paint.stroke == Some(Stroke::Ghost)) << 17;
    number(coat) | number(stroke) << 8 | to_come
}

/// Where in its order of strength a look is: the stronger covers the weaker.
fn strength(coat: Coat) -> f32 {
    match coat {
        Coat::Hazard(grade) => 4.0 + grade as u8 as f32,
        Coat::Held => 3.0,
        Coat::Step => 2.0,
        Coat::Own(_) => 1.0,
        _ => 0.0,
    }
}

/// The same of lines.
#[must_use]
pub fn line_strength(stroke: Stroke) -> f32 {
    match stroke {
        Stroke::Ghost => 0.0,
        Stroke::Pale => 1.0,
        Stroke::Edge => 2.0,
        Stroke::Step => 3.0,
        Stroke::Held => 4.0,
        Stroke::Hazard(grade) => 5.0 + grade as u8 as f32,
    }
}

impl Coats {
    /// Members that are all hidden, in a list and a material of their own.
    pub fn begin(
        &mut self,
        members: usize,
        materials: &mut Assets<CoatMaterial>,
        images: &mut Assets<Image>,
    ) {
        self.looks = vec![0; members.max(1)];
        self.picture = images.add(picture_of(&self.looks));
        self.material = materials.add(self.made());
        self.changed = false;
        self.casts += 1;
    }

    /// Another number whenever a member begins or ends to cast a shadow.
    #[must_use]
    pub fn casts(&self) -> u64 {
        self.casts
    }

    fn made(&self) -> CoatMaterial {
        CoatMaterial { looks: self.picture.clone(), tints: self.tints.clone() }
    }

    /// Takes the colours of a palette, and its light.
    pub fn mix(&mut self, palette: &Palette, materials: &mut Assets<CoatMaterial>) {
        let mut tints = Tints {
            to_sun: (-scenery::SUN).normalize().extend(0.0),
            sun: Vec4::splat(scenery::SUNLIGHT * palette.sun),
            around: Vec4::splat(scenery::AMBIENT * palette.fill),
            ..default()
        };
        for (i, coat) in all_coats().enumerate() {
            let colour = coat_ink(coat, palette).bevy().to_linear().to_vec3();
            tints.colours[i] = colour.extend(coat.shine());
            tints.lifts[i].x = SURFACE_STEP * strength(coat);
        }
        for (i, stroke) in all_strokes().enumerate() {
            let colour = stroke_ink(stroke, palette).bevy().to_linear().to_vec3();
            tints.colours[STROKES + i] = colour.extend(1.0);
            tints.lifts[STROKES + i].x = LINE_LIFT + LINE_STEP * line_strength(stroke);
        }
        self.tints = tints;
        let made = self.made();
        if let Some(mut there) = materials.get_mut(&self.material) {
            *there = made;
        }
    }

    /// One more on the list, that is no member; its number.
    pub fn add(&mut self, paint: Paint) -> u32 {
        self.looks.push(code(paint));
        self.changed = true;
        self.casts += u64::from(paint.coat.is_some());
        self.looks.len() as u32 - 1
    }

    /// Paints a member.
    pub fn paint(&mut self, member: usize, paint: Paint) {
        if let Some(look) = self.looks.get_mut(member) {
            let before = std::mem::replace(look, code(paint) | *look & MOVING);
            self.casts += u64::from((before & COAT == 0) != (*look & COAT == 0));
            self.changed = true;
        }
    }

    /// Hands a member over to the copy of it that moves, or takes it back.
    pub fn set_moving(&mut self, member: usize, moving: bool) {
        if let Some(look) = self.looks.get_mut(member) {
            *look = if moving { *look | MOVING } else { *look & !MOVING };
            self.casts += 1;
            self.changed = true;
        }
    }

    #[must_use]
    pub fn is_moving(&self, member: usize) -> bool {
        self.looks.get(member).is_some_and(|l| l & MOVING != 0)
    }
}

/// The looks as the shaders read them, in whole rows.
fn bytes_of(looks: &[u32]) -> Vec<u8> {
    let mut bytes: Vec<u8> = looks.iter().flat_map(|look| look.to_le_bytes()).collect();
    bytes.resize(looks.len().div_ceil(ROW).max(1) * ROW * 4, 0);
    bytes
}

fn picture_of(looks: &[u32]) -> Image {
    let bytes = bytes_of(looks);
    let height = (bytes.len() / (ROW * 4)) as u32;
    let size = Extent3d { width: ROW as u32, height, depth_or_array_layers: 1 };
    let keep = RenderAssetUsages::default();
    let mut image = Image::new(size, TextureDimension::D2, bytes, TextureFormat::R32Uint, keep);
    // Written over in place, it stays the picture that the material is bound to.
    image.texture_descriptor.usage = TextureUsages::TEXTURE_BINDING | TextureUsages::COPY_DST;
    image
}

/// Hands the looks to the graphics card where they have changed.
pub fn hand_over(
    mut coats: ResMut<'_, Coats>,
    mut images: ResMut<'_, Assets<Image>>,
    mut materials: ResMut<'_, Assets<CoatMaterial>>,
) {
    if !coats.changed {
        return;
    }
    coats.changed = false;
    let bytes = bytes_of(&coats.looks);
    let same_size = |image: &Image| image.data.as_ref().is_some_and(|d| d.len() == bytes.len());
    if images.get(&coats.picture).is_some_and(same_size) {
        if let Some(mut image) = images.get_mut(&coats.picture) {
            image.data = Some(bytes);
        }
        return;
    }
    // It has outgrown its picture. The material must not stay bound to the old one.
    coats.picture = images.add(picture_of(&coats.looks));
    let made = coats.made();
    if let Some(mut there) = materials.get_mut(&coats.material) {
        *there = made;
    }
}
