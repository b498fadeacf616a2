//! Where the rules are known from, each named once.

/// What is done everywhere and published nowhere.
pub const PRACTICE: &str = "common practice, no source";
/// What a prescription must name by law.
pub const LAW: &str = "state texts of the United States, such as Florida Administrative Code 64B5-17.006; local law decides";
/// How often each part of a prescription is left out.
pub const TABRIZ: &str = "published audits: Tabriz 2016, 600 prescriptions";
/// The same, where both audits counted it.
pub const TWO_AUDITS: &str =
    "published audits: Tabriz 2016, 600 prescriptions; China 2014, 1,600 prescriptions";
/// The same, in laboratories of another country.
pub const CHINA: &str = "published audits: China 2014, 1,600 prescriptions in five laboratories";
/// What laboratories would wish for.
pub const BERRY: &str = "Berry 2014, survey of laboratories in the United Kingdom";
/// What dentists say that they send.
pub const AL_KAISY: &str = "Al-Kaisy 2016, survey of 153 dentists";
/// Disinfection before anything goes to a laboratory.
pub const CDC: &str = "CDC 2003, dental laboratory section";
/// Which agent for which material, and for how long.
pub const ASEPSIS: &str =
    "College of Denturists of Ontario, asepsis table; the maker’s label decides";
/// What a millimetre at the pin is at the teeth.
pub const PIN: &str = "Kaiser & Schelb, Geometric study of incisal guide pin opening";
/// How the jaw moves when it opens by a little.
pub const ARC: &str = "geometry of the closing arc, 100 mm triangle after Bonwill, angles 18° to 26° after Bergström and Balkwill";
/// How far a bite goes wrong without a facebow.
pub const AXIS: &str =
    "Morneburg & Pröschel 2002, errors after a change of 2 mm about an arbitrary axis";
/// Space between the teeth at rest.
pub const INTEROCCLUSAL: &str =
    "teaching value of 2 to 4 mm, as in Mohindra on the vertical dimension of occlusion";
/// How far a bite is raised.
pub const INCREASE: &str = "review of increases in dentate people: more than 5 mm is seldom needed";
/// Space between the teeth in speech.
pub const SPEAKING: &str = "Silverman, closest speaking space of about 1 mm, from memory";
/// How long a bite record holds its shape.
pub const RECORDS: &str = "Sharma 2020, stability of bite records over 1 to 168 hours";
/// Which inclination goes with which plane of reference.
pub const PLANES: &str = "published mean condylar inclinations of 40°, 35° and 30° to Frankfort, middle and Camper plane";
/// What the third point of a facebow changes.
pub const THIRD_POINT: &str =
    "Nooji & Sajjan, the third point of reference and the protrusive angle";
/// Where on the tragus the plane begins.
pub const TRAGUS: &str =
    "Kumar 2013, tragus points and the Frankfort horizontal: 13.67° and 10.31°";
/// How far the jaw is moved forward for a record.
pub const PROTRUSION: &str = "Oh 2020, protrusive records of about 5 to 6 mm";
/// A lateral setting from the condylar one.
pub const HANAU: &str = "Hanau 1930 as quoted by Bhawsar 2015, lateral setting = condylar / 8 + 12°; the formula is contested";
/// How wide six front teeth are.
pub const CURVE: &str = "published measurements of natural front teeth: 42 to 49 mm straight, 48 to 55 mm along the curve";
/// How large a front tooth is.
pub const MEANS: &str =
    "published means of 412 people: central incisor 8.71 mm wide, 10.23 mm long";
/// How long the back teeth are together.
pub const CROWNS: &str =
    "average crowns after Ash & Nelson, from memory: lower 4 to 7 together 35.5 mm";
/// In which light a shade is chosen.
pub const LIGHT: &str = "Cha 2013, shift of shade under incandescent and fluorescent light";
/// What a missing seal leads to.
pub const SEAL_FAULTS: &str = "Morstad & Petersen, problems after insertion";
/// Which fault lies behind which complaint.
pub const COMPLAINTS: &str = "McCord & Grant, complaints and their causes, from memory";
/// How long a functional impression may wear.
pub const FUNCTIONAL: &str = "Murata 2001, functional impression materials over time";
/// How soon an alginate is poured.
pub const ALGINATE: &str =
    "published storage times of alginate: at most 30 minutes under wet gauze for most products";
/// Which alginates may wait for days.
pub const EXTENDED: &str =
    "study of extended-pour alginates (PMC8929483): up to 100 to 120 hours sealed, by product";
/// How a cold-curing resin is cured under pressure.
pub const POT: &str = "makers’ sheets, from memory: 10 to 20 minutes at 0.14 to 0.2 MPa and 40 to 50 °C; five to seven minutes are common practice, no source";
/// Why a base travels moist.
pub const DRY: &str = "Lim & Lee 2016, deformation of bases stored dry for two weeks";
/// Where a denture must carry a name.
pub const MARKING: &str = "New York Education Law 6612 and California Business and Professions Code 1706; local law decides";
/// Why each of several sets is marked.
pub const SETS: &str =
    "British Dental Journal 2007, marking tells several sets of one patient apart";
/// How many days a laboratory needs.
pub const LAB_DAYS: &str = "published calendar of one laboratory: rims or trays 2, set-up 4, finish 3 working days, transport 2";
/// When a new denture is checked.
pub const CHECKS: &str = "published appointment schedule of a dental school: first check on the next day; a textbook: within a week";
/// What belongs to the prescription of a custom-made device.
pub const DEVICES: &str =
    "MDCG 2021-3 on custom-made devices: an enclosed model is part of the prescription";
