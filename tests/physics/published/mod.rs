//! Printed answers and closed forms, reached by whole cases: the text of a case goes in, the
//! operating point or the duty cycle comes out.

mod closed_forms;
mod exchangers;
mod lumped;
mod networks;
mod pipes;
mod pumps;
mod pumps_rising;
mod pumps_suction;
mod tees;
