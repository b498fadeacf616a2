//! The rules of the trade as values and functions: same input, same answer.
//!
//! Nothing in here reads a clock, draws a random number or knows a database. Whoever calls it brings
//! the moment, the identity and the stored facts along.

pub mod access; // who may do what
pub mod arch; // upper and lower
pub mod calendar; // working days and what can be done by when
pub mod case; // a case and where it stands
pub mod changes; // what a change list comes to
pub mod colour; // colour differences and shade guides
pub mod complaint; // complaint, cause, remedy
pub mod custody; // what happened to each item, and what may happen
pub mod digest; // SHA-256 as text
pub mod draft; // two people in one draft
pub mod evidence; // where a number comes from
pub mod fault; // a message beside a field
pub mod guidance; // condylar path, reference planes, cusps
pub mod handoff; // a release and its receipt
pub mod hinge; // openings and arcs about the hinge axis
pub mod ids; // codes with check characters
pub mod item; // the things that travel
pub mod legal; // what a law wants on a prescription
pub mod lists; // mould lists and shade guides as loaded
pub mod material; // clocks of perishable things
pub mod measure; // millimetres and degrees, exact
pub mod moment; // a moment with its offset
pub mod mould; // a lab's teeth and the nearest of them
pub mod mouth; // what the patient wears
pub mod party; // offices, labs, roles
pub mod patient; // what the lab must know of a patient, without who it is
pub mod people; // accounts and passwords
pub mod prescription; // what is ordered
pub mod privacy; // what in a text points at a person
pub mod reckoned; // what follows from the numbers written
pub mod retention; // how long papers are kept
pub mod review; // what the lab would have to ask about
pub mod revision; // the signed text
pub mod selection; // tooth sizes from face and arch
pub mod sets; // which dentures of a case belong together
pub mod sketch; // the face and the arches, drawn from the values
pub mod table; // lists that parties load as CSV
pub mod tooth; // tooth numbers and their names
pub mod vertical; // vertical dimension, read and judged
