//! The 3D window.
