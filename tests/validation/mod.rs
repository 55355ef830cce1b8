//! Published values, a file per example.

mod baglivo_graver_1983_tension_grids;
mod bar_frames;
mod bolker_crapo_1979_one_storey;
mod bolker_crapo_1979_plane_grids;
mod frame_files;
mod reference_frames;
mod shoring_mechanisms;
