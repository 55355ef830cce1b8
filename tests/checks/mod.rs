//! Hazards: the register, each one's firing and silent scene, and how findings are put together.

mod grouping;
mod loose;
mod pour_orders;
mod register;
mod roots;
mod scenes;
mod unknown;
mod usage_unknown;
