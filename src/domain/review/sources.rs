//! Where the rules are known from, each named once.

use crate::domain::trade::disinfection;

/// What is done everywhere and published nowhere.
pub const PRACTICE: &str = "common practice, no source";
/// What a prescription must name by law.
pub const LAW: &str = "state texts of the United States, such as Florida Administrative Code 64B5-17.006; local law decides";
/// How often each part of a prescription is left out.
pub const TABRIZ: &str = "Tabriz 2016: technicians of 15 laboratories filled in questionnaires about 600 prescriptions of fixed and removable partial work; taken over for complete dentures, of which no audit was found";
/// The same, where both audits counted it.
pub const TWO_AUDITS: &str = "Tabriz 2016, 600 prescriptions in 15 laboratories, and China 2014, 1,600 in 5 laboratories: what technicians found missing on fixed and removable partial work; taken over for complete dentures, of which no audit was found";
/// The same, in laboratories of another country.
pub const CHINA: &str = "China 2014: 1,600 prescriptions of metal-ceramic and removable partial work in five laboratories; taken over for complete dentures, of which no audit was found";
/// What laboratories would wish for.
pub const BERRY: &str = "Berry 2014: what 248 technicians in the United Kingdom, of 782 asked, say is missing on fixed work; taken over for dentures";
/// What dentists say that they send.
pub const AL_KAISY: &str = "Al-Kaisy 2016: a questionnaire of 153 practitioners of one city, on what they say they send; that city, no more";
/// Disinfection before anything goes to a laboratory.
pub const CDC: &str =
    "CDC 2003, dental laboratory section, as restated in a published table (PMC6699473)";
/// Which agent for which material, and for how long.
pub const ASEPSIS: &str = "College of Denturists of Ontario, asepsis table; in the copy read here the columns taken as glutaraldehyde and phenols name only the maker’s directions; the maker’s label decides";
/// What a millimetre at the pin is at the teeth.
pub const PIN: &str = "Kaiser & Schelb, Geometric study of incisal guide pin opening: geometry of one articulator, no measurement in mouths";
/// How the jaw moves when it opens by a little.
pub const ARC: &str = "geometry of the closing arc, 100 mm triangle after Bonwill, angles 18° to 26° after Bergström and Balkwill";
/// How far a bite goes wrong without a facebow.
pub const AXIS: &str = "Morneburg & Pröschel 2002: horizontal errors at the second molars of 57 people with natural teeth and no complaint, after changes of 2 and 4 mm; taken over for dentures, untested";
/// Space between the teeth at rest.
pub const INTEROCCLUSAL: &str = "teaching value of 2 to 4 mm, told by Mohindra, whose own cases are 21 overclosed denture wearers";
/// How far a bite is raised.
pub const INCREASE: &str = "narrative review of increases in people with natural teeth (PMC11104375): more than 5 mm is seldom needed; taken over for dentures, untested";
/// Space between the teeth in speech.
pub const SPEAKING: &str = "Silverman, closest speaking space of about 1 mm, from memory";
/// How long a bite record holds its shape.
pub const RECORDS: &str = "Sharma 2020: discs of addition silicone, polyether, zinc oxide and eugenol, and wax over 1 to 168 hours in vitro; bis-acryl in another study, over 1 to 72 hours; the product decides";
/// Which inclination goes with which plane of reference.
pub const PLANES: &str = "an articulator seller’s page: 40°, 35° and 30° to Frankfort, middle and Camper plane, without a measurement; measured in 59 adults on two articulators: 33.75 ± 12.46° and 40.72 ± 12.09°";
/// What the third point of a facebow changes.
pub const THIRD_POINT: &str = "Nooji & Sajjan: 12 people with natural teeth on one articulator; taken over for dentures, untested";
/// Where on the tragus the plane begins.
pub const TRAGUS: &str = "Kumar 2013: photographs of 150 people of 18 to 40 years with natural teeth, 13.67° and 10.31° to the Frankfort horizontal; taken over for dentures, untested";
/// How far the jaw is moved forward for a record.
pub const PROTRUSION: &str =
    "Oh 2020: protrusive records of about 5 to 6 mm, as told there; on whom is not known here";
/// A lateral setting from the condylar one.
pub const HANAU: &str = "Hanau 1930 as quoted by Bhawsar 2015, lateral setting = condylar / 8 + 12°; the formula is contested";
/// How wide six front teeth are.
pub const CURVE: &str = "natural front teeth of 41 men and 55 women: 42 to 49 mm straight, 48 to 55 mm along the curve; taken over for artificial teeth";
/// How far apart canine lines lie.
pub const CANINE_LINES: &str = "geometry from the width of the six and a canine of 7.5 mm (Ash & Nelson, from memory), through the tips or the distal corners, straight or along the curve; the 4 mm for lines drawn by eye are common practice, no source";
/// How large a front tooth is.
pub const MEANS: &str = "casts of 412 healthy adults with natural teeth: central incisor 8.71 mm wide, 10.23 mm long; taken over for artificial teeth";
/// How long the back teeth are together.
pub const CROWNS: &str =
    "average crowns after Ash & Nelson, from memory: lower 4 to 7 together 35.5 mm";
/// In which light a shade is chosen.
pub const LIGHT: &str = "Cha 2013: seven ceramics under three lights, no resin and no LED; used only for that light matters";
/// What a missing seal leads to.
pub const SEAL_FAULTS: &str = "Morstad & Petersen, problems after insertion";
/// Which fault lies behind which complaint.
pub const COMPLAINTS: &str = "McCord & Grant, complaints and their causes, from memory";
/// How long a functional impression may wear.
pub const FUNCTIONAL: &str = "Murata 2001: length and weight of six conditioners in water for 21 days, in vitro; that a day is best is the authors’ inference";
/// How soon an alginate is poured.
pub const ALGINATE: &str = "storage of truncated alginate cones for 5 minutes to 4 hours in a hot climate, in vitro: within 30 minutes under wet gauze; the product decides";
/// Which alginates may wait for days.
pub const EXTENDED: &str = "Walker 2010 (PMC8929483): two extended and one ordinary alginate on a steel die after 30 minutes, 48 and 100 hours, in vitro; one of them fitted at both ends; other products changed within hours";
/// How a cold-curing resin is cured under pressure.
pub const POT: &str = "makers’ sheets, from memory: 10 to 20 minutes at 0.14 to 0.2 MPa and 40 to 50 °C; five to seven minutes are common practice, no source";
/// Why a base travels moist.
pub const DRY: &str = "Lim & Lee 2016: 28 new heat-cured bases on the 1st, 14th and 28th day after deflasking; only upper bases kept dry changed measurably; a worn, wet base was not tested";
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
/// What materials hold.
pub const HOLDINGS: &str = "the table of generic materials of this program, each row with its source; the weights are its own choice";
/// What follows from the meaning of the words.
pub const OWN_RULE: &str = "own rule, from what the words mean";
/// How far teeth are cut off a cast.
pub const CAST_TRIM: &str = "articles on trimming casts for immediate dentures, from memory; schools differ, and a teaching text gives at most 5 mm toward the lip and 2 mm toward the palate";
/// What files say of their unit.
pub const FILES: &str = "descriptions of the STL, OBJ, PLY and 3MF formats, read on developers’ pages: STL holds no unit, 3MF names its own";
/// What alcohol does to acrylic.
pub const ALCOHOL_ON_RESIN: &str = disinfection::ALCOHOL.name;
/// What heat does to acrylic, wax and alginate.
pub const HOT_WATER: &str = disinfection::HEAT.name;
/// What a denture that lies in a disinfectant comes to.
pub const HARMFUL_BATHS: &str = "Regis 2009 for alcohol and Felton 2011 for hypochlorite and hot water, both told beside the baths; phenols and aldehydes: College of Denturists of Ontario, asepsis table";
/// What hypochlorite does to metal.
pub const METAL_IN_BLEACH: &str = disinfection::BLEACH_ON_METAL.name;
/// How long a denture may lie in hypochlorite.
pub const BLEACH_MINUTES_SOURCE: &str = disinfection::BLEACH_TIME.name;
/// How strong a hypochlorite is for a denture.
pub const BLEACH_STRENGTH: &str = "College of Denturists of Ontario, asepsis table, 0.05 to 0.5 %, which is 1:100 to 1:10 of household bleach with 5 %, from memory";
/// What is never mixed with hypochlorite.
pub const MIXED: &str = disinfection::NEVER_MIXED.name;
/// How high rims are made.
pub const RIMS: &str = "teaching page on occlusion rims, 22 mm above and 18 mm below in front; the borders of 15 and 26 mm and the width are common practice, no source";
/// When somebody is seen after teeth were drawn.
pub const CHECK_AFTER_EXTRACTION: &str =
    "teaching of immediate dentures, first seen after 24 hours, from memory";
/// What mouths show in front.
pub const FRONT_NUMBERS: &str = "Vig and Brundo 1978 for the show at rest and a teaching text for the papilla, both from memory; the other borders are common practice, no source";
/// How high a face is between nose and chin.
pub const FACE_HEIGHT: &str =
    "common practice, no source; on a face between nose and chin, with its soft tissue";
/// What comes with a repair.
pub const REPAIRS: &str = "school notes on denture fractures and teaching slides on repair: where fit or bite is the cause, a reline or remount too; that a thin base is strengthened is common practice, no source";
/// What peroxide does to a conditioner or soft lining.
pub const PEROXIDE_ON_SOFT: &str = "in vitro, peroxide tablets changed tissue conditioners and soft liners most among cleansers, from memory; one bath was not tested";
