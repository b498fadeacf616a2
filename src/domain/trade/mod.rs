//! The computations of the trade, each with its source. They advise and never decide.

pub mod agreement; // what two parts of a prescription say of the same thing
pub mod calendar; // working days and what can be done by when
pub mod changes; // what a change list comes to
pub mod closed_lines; // closed days as lines of a form
pub mod colour; // colour differences and shade guides
pub mod complaint; // complaint, cause, remedy
pub mod conformity; // whether a measured value is what was asked
pub mod disinfection; // what an agent or heat does to a material
pub mod due; // when an order can be back
pub mod guidance; // condylar path, reference planes, cusps
pub mod hinge; // openings and arcs about the hinge axis
pub mod hints; // what follows from the numbers written
pub mod house_days; // closed days and lab days as loaded
pub mod lab_lines; // a lab's days as lines of a form
pub mod lists; // mould lists and shade guides as loaded
pub mod material; // clocks of perishable things
pub mod mould; // a lab's teeth and the nearest of them
pub mod moved; // what fields of their own move in a pattern
pub mod offered_codes; // which codes of the lists a field offers
pub mod parcel_waits; // why a parcel is not there sooner
pub mod perishable; // what a cast is poured from at once
pub mod plan; // the days of a case, from today and from the day wanted
pub mod repeated; // what repeated readings say
pub mod selection; // tooth sizes from face and arch
pub mod sketch; // the face and the arches, drawn from the values
pub mod steps; // the steps of the lab's work and their days
pub mod substances; // what materials hold, and what a text names
pub mod vertical; // vertical dimension, read and judged
