//! Published values, a file per example.

mod aisc_bracing;
mod baglivo_graver_1983_tension_grids;
mod bar_frames;
mod beam_columns;
mod bolker_crapo_1979_one_storey;
mod bolker_crapo_1979_plane_grids;
mod braced_and_leaning;
mod eccentric_joints;
mod effective_lengths;
mod frame_files;
mod nearly_loose;
mod planar;
mod reference_frames;
mod second_order_sway;
mod shoring_mechanisms;
mod timoshenko_gere_columns;
mod timoshenko_gere_portals;
mod towers;
