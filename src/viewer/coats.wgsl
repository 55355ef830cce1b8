// Members: colour by a list of looks, sun and shade worked out at the corners, shadows in between.

#import bevy_pbr::{
    mesh_functions,
    mesh_view_bindings::view,
    view_transformations::position_world_to_clip,
}
#import standwell::sunlight::sunlit

// A number a member, in rows of 1024: a picture, since every adapter can read one here.
@group(#{MATERIAL_BIND_GROUP}) @binding(0) var looks: texture_2d<u32>;
@group(#{MATERIAL_BIND_GROUP}) @binding(1) var<uniform> tints: Tints;

// Colours of coats, then of strokes, and what each is nearer by; the way to the sun, its light, and
// that from all round.
struct Tints {
    colours: array<vec4<f32>, 48>,
    lifts: array<vec4<f32>, 48>,
    to_sun: vec4<f32>,
    sun: vec4<f32>,
    around: vec4<f32>,
}

const STROKES: u32 = 32u;

struct Corner {
    @builtin(instance_index) instance: u32,
    @location(0) position: vec3<f32>,
    // The member's number above two bits: part of the copy that moves, part of what is to come.
    @location(1) member: u32,
#ifdef SOLID
    // Direction of the surface, half the shade.
    @location(2) lit: vec4<f32>,
#endif
}

struct Drawn {
    @builtin(position) position: vec4<f32>,
#ifdef SOLID
    @location(0) world: vec3<f32>,
    @location(1) normal: vec3<f32>,
    @location(2) sun: vec3<f32>,
    @location(3) rest: vec3<f32>,
#else
    @location(0) @interpolate(flat) colour: vec3<f32>,
#endif
}

fn hidden() -> Drawn {
    var out: Drawn;
    out.position = vec4(2.0, 2.0, 0.5, 1.0);
    return out;
}

@vertex
fn vertex(in: Corner) -> Drawn {
    let number_of_look = in.member >> 2u;
    let look = textureLoad(looks, vec2(number_of_look & 1023u, number_of_look >> 10u), 0).x;
    if ((look >> 16u) & 1u) != ((in.member >> 1u) & 1u) {
        return hidden();
    }
#ifdef SOLID
    let number = look & 255u;
#else
    let number = (look >> 8u) & 255u;
    if ((look >> 17u) & 1u) != (in.member & 1u) {
        return hidden();
    }
#endif
    if number == 0u {
        return hidden();
    }
    var out: Drawn;
    let place = mesh_functions::get_world_from_local(in.instance);
    let world = (place * vec4(in.position, 1.0)).xyz;
    out.position = position_world_to_clip(world);
#ifdef SOLID
    let colour = tints.colours[number - 1u];
    out.position.z *= 1.0 + tints.lifts[number - 1u].x / out.position.w;
    out.world = world;
    out.normal = normalize((place * vec4(in.lit.xyz, 0.0)).xyz);
    let base = colour.rgb * in.lit.w * 2.0;
    // Matt paint after Burley, roughness 0.81 (0.9 squared): what little shines is left out.
    let to_eye = normalize(view.world_position - world);
    let to_sun = tints.to_sun.xyz;
    let facing = saturate(dot(out.normal, to_sun));
    let seen = max(dot(out.normal, to_eye), 0.0001);
    let half_way = saturate(dot(to_sun, normalize(to_sun + to_eye)));
    let grazing = 2.0 * 0.81 * half_way * half_way - 0.5;
    let burley = (1.0 + grazing * pow(1.0 - facing, 5.0)) * (1.0 + grazing * pow(1.0 - seen, 5.0));
    out.sun = base * tints.sun.rgb * (burley * facing * 0.318309886 * view.exposure);
    // From all round: the fitted reflectance of a matt surface.
    let around = max(base * 0.4524 - 0.0019, vec3(0.0));
    out.rest = around * tints.around.rgb * view.exposure + colour.rgb * colour.w;
#else
    out.colour = tints.colours[STROKES + number - 1u].rgb;
    out.position.z *= 1.0 + tints.lifts[STROKES + number - 1u].x / out.position.w;
#endif
    return out;
}

@fragment
fn fragment(in: Drawn) -> @location(0) vec4<f32> {
#ifdef SOLID
    var lit = 1.0;
    if any(in.sun > vec3(0.0)) {
        lit = sunlit(in.world, normalize(in.normal), in.position.xy);
    }
    return vec4(in.sun * lit + in.rest, 1.0);
#else
    return vec4(in.colour, 1.0);
#endif
}
