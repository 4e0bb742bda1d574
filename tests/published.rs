//! Printed answers and closed forms, reached by whole cases: the text of a case goes in, the
//! operating point or the duty cycle comes out.

mod common;

#[path = "published/closed_forms.rs"]
mod closed_forms;
#[path = "published/exchangers.rs"]
mod exchangers;
#[path = "published/lumped.rs"]
mod lumped;
#[path = "published/networks.rs"]
mod networks;
#[path = "published/pipes.rs"]
mod pipes;
#[path = "published/pumps.rs"]
mod pumps;
#[path = "published/pumps_rising.rs"]
mod pumps_rising;
#[path = "published/pumps_suction.rs"]
mod pumps_suction;
#[path = "published/tees.rs"]
mod tees;
