//! The table of contents: every route, who may ask for it, and the handler.

use super::client::{Proxies, note_whence};
use super::error::WebError;
use super::error_page::with_frame;
use super::every_answer::{in_time, panicked, plain_bodies, way_back, when_again};
use super::frame::Frame;
use super::guard::{Watch, guard, visitor};
use super::host::{OwnName, own_name};
use super::packed::{packed_whole, packing};
use super::pictures::{SMALL, WHOLE};
use super::request_body::read_to_the_end;
use super::{
    account, bench, case_new, case_page, changes, dates, erase, feed, fit, follow_up, halt,
    handoffs, headers, history, home, items, join, keep, labels, law, let_in, lists, manage,
    papers, passing, patients, people, pictures, questions, record, reported, reports, resolve,
    revision, scan_files, sheet_read, sign, sign_in, statics, usual, write,
};
use crate::app::{App, AppError};
use crate::domain::people::access::Permission;
use axum::Router;
use axum::extract::{Request, State};
use axum::http::StatusCode;
use axum::middleware;
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use tower_http::catch_panic::CatchPanicLayer;

/// One line of the table, for the test that walks every route with every role.
#[derive(Debug, Clone, Copy)]
pub struct Route {
    pub method: &'static str,
    pub path: &'static str,
    pub permission: Permission,
}

macro_rules! table {
    ($($method:ident $path:literal $permission:ident => $handler:path;)*) => {
        /// Every route.
        pub const ROUTES: &[Route] = &[$(Route {
            method: stringify!($method), path: $path, permission: Permission::$permission,
        }),*];

        fn table(app: &App) -> Router<App> {
            let watch = |permission| middleware::from_fn_with_state(Watch { app: app.clone(), permission }, guard);
            Router::new()$(.route($path, $method($handler).route_layer(watch(Permission::$permission))))*
        }
    };
}

table! {
    // Without signing in.
    get  "/healthz" Anybody => home::healthz;
    get  "/static/{name}" Anybody => statics::file;
    get  "/sign-in" Anybody => sign_in::form;
    post "/sign-in" Anybody => sign_in::enter;
    get  "/join/{secret}" Anybody => join::form;
    post "/join/{secret}" Anybody => join::enter;
    // The days of a house, for a calendar program that has their address.
    get  "/feed/{name}" Anybody => feed::file;

    // What stands on a parcel, in upper case to keep its code small, and as somebody types it.
    get  "/H/{id}" Anybody => handoffs::arrived;
    get  "/h/{id}" Anybody => handoffs::arrived;
    // What stands on a sheet.
    get  "/C/{number}" Anybody => sheet_read::case;
    get  "/c/{number}" Anybody => sheet_read::case;
    get  "/C/{number}/{revision}" Anybody => sheet_read::revision;
    get  "/c/{number}/{revision}" Anybody => sheet_read::revision;

    // One's own account.
    post "/sign-out" SignedIn => sign_in::leave;
    post "/sign-out-everywhere" OwnAccount => sign_in::leave_everywhere;
    get  "/account" OwnAccount => account::page;
    post "/account/password" OwnAccount => account::change_password;
    post "/account/code" OwnAccount => account::set_code;
    post "/account/code/none" OwnAccount => account::drop_code;
    post "/account/sessions/end" OwnAccount => account::end_session;
    // Of those who have cases; a code is not enough.
    post "/account/feed" HandleItems => feed::make;
    post "/account/feed/end" HandleItems => feed::end;
    get  "/let-in" OwnAccount => let_in::own_house;
    post "/let-in/read" OwnAccount => let_in::note_read;

    // Local law: everybody reads the profiles; who answers for a party chooses its own.
    get  "/law" OwnAccount => law::page_of;
    post "/law" ChooseLaw => law::choose;

    // The first page: cases for office and lab, parties for an administrator.
    get  "/" SignedIn => home::home;
    get  "/find" ReadCases => home::find;
    get  "/changes" ReadCases => changes::stream;
    get  "/day-list.pdf" ReadCases => papers::day_list;

    // How the work of one's own house went, and what lies in it.
    get  "/reports" ReadCases => reports::month;
    get  "/reports.csv" ReadCases => reports::month_csv;
    get  "/in-house" ReadCases => reports::in_house;
    get  "/in-house.csv" ReadCases => reports::in_house_csv;

    // The record, for everybody who is signed in.
    get  "/record" OwnAccount => record::page;
    get  "/record/checkpoint" SignedIn => record::checkpoint;
    get  "/record/growth" SignedIn => record::growth;
    post "/record/cosign" SignedIn => record::cosign;
    post "/record/alarm" SignedIn => record::alarm;
    post "/record/clock" OwnAccount => record::trust_clock;
    post "/record/clear" ManageInstallation => record::clear_alarms;

    // The administrator.
    get  "/parties" ManageInstallation => manage::parties;
    get  "/parties/new" ManageInstallation => manage::new_party;
    post "/parties/new" ManageInstallation => manage::add_party;
    get  "/parties/{id}" ManageInstallation => manage::party;
    post "/parties/{id}" ManageInstallation => manage::change_party;
    get  "/people" ManageInstallation => people::people;
    post "/people/invite" ManageInstallation => people::invite;
    post "/people/links/revoke" ManageInstallation => people::revoke;
    post "/people/{id}/disabled" ManageInstallation => people::shut_out;
    get  "/people/{id}/let-in-again" ManageInstallation => let_in::again_form;
    post "/people/{id}/let-in-again" ManageInstallation => let_in::again;
    get  "/people/{id}/new-password" ManageInstallation => let_in::way_back_form;
    post "/people/{id}/new-password" ManageInstallation => let_in::way_back;

    // The office: patients and preparation.
    get  "/patients" KeepPatients => patients::list;
    get  "/patients/new" KeepPatients => patients::new;
    post "/patients/new" KeepPatients => patients::add;
    get  "/patients/key-sheet.pdf" KeepPatients => papers::key_sheet;
    get  "/patients/{code}" KeepPatients => patients::page_of;
    post "/patients/{code}" KeepPatients => patients::change;
    get  "/cases/new" PrepareCases => case_new::new;
    post "/cases/new" PrepareCases => case_new::open;
    get  "/cases/{number}/write" PrepareCases => write::form;
    post "/cases/{number}/write" PrepareCases => write::save;
    post "/cases/{number}/write/autosave" PrepareCases => write::autosave;
    post "/cases/{number}/write/choose" PrepareCases => write::choose_conflict;
    post "/cases/{number}/write/discard" PrepareCases => write::discard;
    get  "/cases/{number}/reported" PrepareCases => reported::page_of;
    post "/cases/{number}/reported" PrepareCases => reported::take;
    get  "/cases/{number}/draft.pdf" PrepareCases => papers::draft_slip;
    get  "/cases/{number}/draft/front.svg" PrepareCases => papers::draft_front;
    get  "/cases/{number}/sign" Sign => sign::form;
    post "/cases/{number}/sign" Sign => sign::sign;

    // What the houses load, by which days and hints are calculated.
    get  "/moulds" KeepMoulds => lists::moulds;
    post "/moulds" KeepMoulds => lists::load_moulds;
    get  "/moulds/{version}/list.csv" KeepMoulds => lists::moulds_csv;
    get  "/closed-days" KeepClosedDays => lists::closed_days;
    post "/closed-days" KeepClosedDays => lists::load_closed_days;
    post "/closed-days/lines" KeepClosedDays => lists::change_closed_days;
    get  "/closed-days/{version}/list.csv" KeepClosedDays => lists::closed_days_csv;
    get  "/lab-days" KeepMoulds => lists::lab_days;
    post "/lab-days" KeepMoulds => lists::load_lab_days;
    post "/lab-days/lines" KeepMoulds => lists::change_lab_days;
    get  "/lab-days/{version}/list.csv" KeepMoulds => lists::lab_days_csv;
    get  "/guides" KeepGuides => lists::guides;
    post "/guides" KeepGuides => lists::add_guide;
    get  "/guides/{id}" KeepGuides => lists::guide;
    post "/guides/{id}" KeepGuides => lists::load_guide;
    get  "/guides/{id}/{version}/list.csv" KeepGuides => lists::guide_csv;
    get  "/usual" ReadCases => usual::sets;
    get  "/usual/new" KeepUsual => usual::new;
    post "/usual/new" KeepUsual => usual::make;
    get  "/usual/{id}" ReadCases => usual::set;
    post "/usual/{id}" KeepUsual => usual::change;

    // Both sides of a case.
    get  "/cases/{number}" ReadCases => case_page::page_of;
    get  "/cases/{number}/dates" ReadCases => dates::page_of;
    get  "/cases/{number}/dates.ics" ReadCases => dates::file;
    get  "/cases/{number}/moulds" ReadCases => lists::moulds_of_case;
    get  "/cases/{number}/usual" ReadCases => usual::of_lab;
    get  "/cases/{number}/history" ReadCases => history::history;
    get  "/cases/{number}/keep" ReadCases => keep::page_of;
    post "/cases/{number}/keep" EraseTexts => keep::longer;
    post "/cases/{number}/keep/end" EraseTexts => keep::no_longer;
    get  "/cases/{number}/erase" EraseTexts => erase::form;
    post "/cases/{number}/erase" EraseTexts => erase::erase;
    get  "/cases/{number}/history.pdf" ReadCases => papers::custody_sheet;
    get  "/cases/{number}/materials.pdf" ReadCases => papers::materials;
    get  "/cases/{number}/statement.pdf" ReadCases => papers::statement;
    get  "/cases/{number}/done.pdf" WorkAtBench => papers::done;
    get  "/cases/{number}/record.tar" ReadCases => record::bundle;
    get  "/cases/{number}/leaves/{leaf}/entry" ReadCases => record::entry;
    get  "/cases/{number}/leaves/{leaf}/proof" ReadCases => record::proof;
    get  "/cases/{number}/revisions/{revision}" ReadCases => revision::revision;
    get  "/cases/{number}/revisions/{revision}/slip.pdf" ReadCases => papers::slip;
    get  "/cases/{number}/revisions/{revision}/front.svg" ReadCases => papers::front;
    get  "/cases/{number}/revisions/{revision}/text.pdf" ReadCases => papers::full_text;
    // What the QR codes hold, in upper case to keep them small.
    get  "/I/{tag}" ReadCases => items::short;
    // As somebody types them.
    get  "/i/{tag}" ReadCases => items::short;
    post "/cases/{number}/revisions/{revision}/acknowledge" AcknowledgeRevision => sign::acknowledge;

    // Items and handoffs.
    get  "/cases/{number}/items/new" HandleItems => items::new;
    post "/cases/{number}/items/new" HandleItems => items::add;
    get  "/cases/{number}/items/set" HandleItems => items::set;
    post "/cases/{number}/items/set" HandleItems => items::add_set;
    get  "/cases/{number}/items/several" HandleItems => items::several;
    post "/cases/{number}/items/several" HandleItems => items::record_several;
    get  "/cases/{number}/labels" HandleItems => labels::form;
    get  "/cases/{number}/labels.pdf" HandleItems => labels::sheet;
    get  "/cases/{number}/labels/test.pdf" HandleItems => labels::test;
    get  "/cases/{number}/labels/pan.pdf" WorkAtBench => labels::pan;
    get  "/items/{tag}" ReadCases => items::page_of;
    post "/items/{tag}/record" HandleItems => items::record;
    get  "/items/{tag}/card.pdf" TreatPatient => papers::spare_card;
    get  "/cases/{number}/mouth" TreatPatient => items::mouth;
    post "/cases/{number}/mouth" TreatPatient => items::change_mouth;
    get  "/cases/{number}/release" HandleItems => handoffs::release_form;
    post "/cases/{number}/release" HandleItems => handoffs::release;
    get  "/handoffs/{id}" HandleItems => handoffs::receive_form;
    post "/handoffs/{id}" HandleItems => handoffs::receive;
    post "/handoffs/{id}/picked-up" HandleItems => handoffs::pick_it_up;
    post "/handoffs/{id}/take-back" HandleItems => handoffs::take_it_back;
    get  "/handoffs/{id}/outside.pdf" ReadCases => papers::outside_label;
    get  "/handoffs/{id}/note.pdf" ReadCases => papers::parcel_note;
    get  "/cases/{number}/holds" HandleItems => resolve::resolve_form;
    post "/cases/{number}/holds" HandleItems => resolve::resolve;
    get  "/cases/{number}/halt" ReadCases => halt::form;
    post "/cases/{number}/halt" Sign => halt::halt;
    get  "/cases/{number}/passed" ReadCases => passing::page_of;
    post "/cases/{number}/passed" HandleItems => passing::pass_on;
    post "/cases/{number}/passed/answer" HandleItems => passing::answer;
    post "/cases/{number}/passed/move" HandleItems => passing::moved;
    post "/cases/{number}/passed/end" HandleItems => passing::end;
    get  "/cases/{number}/passed/{event}/authorization.pdf" ReadCases => passing::paper;
    get  "/cases/{number}/passed/{event}/sheet.pdf" ReadCases => passing::sheet;
    // What another lab has passed on to this one.
    get  "/passed" WorkAtBench => passing::guest::list;
    get  "/passed/{event}" WorkAtBench => passing::guest::one;
    post "/passed/{event}/move" WorkAtBench => passing::guest::moved;
    post "/passed/{event}/ask" Ask => passing::guest::ask;
    post "/passed/{event}/take-back" HandleItems => passing::guest::take_back;
    post "/passed/{event}/withdraw" HandleItems => passing::guest::withdraw;
    get  "/passed/{event}/authorization.pdf" WorkAtBench => passing::guest::paper;
    get  "/passed/{event}/sheet.pdf" WorkAtBench => passing::guest::sheet;
    get  "/passed/{event}/front.svg" WorkAtBench => passing::guest::front;
    get  "/passed/{event}/pictures/{id}/picture.jpg" WorkAtBench => passing::files::picture::<WHOLE>;
    get  "/passed/{event}/pictures/{id}/small.jpg" WorkAtBench => passing::files::picture::<SMALL>;
    get  "/passed/{event}/scans/{id}/file" WorkAtBench => passing::files::scan;
    get  "/cases/{number}/questions" ReadCases => questions::form;
    get  "/cases/{number}/pictures" ReadCases => pictures::page_of;
    post "/cases/{number}/pictures" AddPictures => pictures::add;
    get  "/cases/{number}/pictures.pdf" ReadCases => papers::pictures;
    get  "/cases/{number}/pictures/{id}/picture.jpg" ReadCases => pictures::picture::<WHOLE>;
    get  "/cases/{number}/pictures/{id}/small.jpg" ReadCases => pictures::picture::<SMALL>;
    post "/cases/{number}/pictures/{id}/for-lab" AddPictures => pictures::mark;
    get  "/cases/{number}/scans" ReadCases => scan_files::page_of;
    post "/cases/{number}/scans" HandleItems => scan_files::add;
    post "/cases/{number}/scans/{id}/for-lab" AddPictures => scan_files::mark;
    get  "/cases/{number}/scans/{id}/file" ReadCases => scan_files::file;
    post "/cases/{number}/ask" Ask => questions::ask;
    post "/cases/{number}/answer" HandleItems => questions::answer;
    post "/cases/{number}/answer-lab" HandleItems => questions::answer_lab;
    post "/cases/{number}/telephoned" HandleItems => questions::telephoned;
    post "/cases/{number}/confirm" HandleItems => questions::confirm;
    post "/cases/{number}/promise" HandleItems => dates::promise;
    post "/cases/{number}/day" HandleItems => dates::answer;
    get  "/cases/{number}/fit" ReadCases => fit::form;
    post "/cases/{number}/fit" HandleItems => fit::enter;
    post "/cases/{number}/fit/undo" HandleItems => fit::undo;
    get  "/cases/{number}/follow-up" ReadCases => follow_up::form;
    post "/cases/{number}/follow-up" TreatPatient => follow_up::enter;
    post "/cases/{number}/follow-up/share" AcknowledgeRevision => follow_up::share;
    post "/cases/{number}/follow-up/undo" TreatPatient => follow_up::undo;
    post "/cases/{number}/heed" AcknowledgeRevision => halt::heed;
    // The bench of the lab.
    get  "/bench" WorkAtBench => bench::list;
    get  "/bench/who" Anybody => bench::who;
    post "/bench/who" Anybody => bench::enter_by_code;
    get  "/bench/password" SignedIn => bench::password_form;
    post "/bench/password" SignedIn => bench::go_on_with_password;
    get  "/bench/card.pdf" WorkAtBench => bench::card;
    get  "/bench/devices" KeepDevices => bench::devices;
    post "/bench/devices" KeepDevices => bench::allow_device;
    post "/bench/devices/back" KeepDevices => bench::take_device_back;
    get  "/cases/{number}/bench" WorkAtBench => bench::form;
    post "/cases/{number}/bench" WorkAtBench => bench::work;
    post "/cases/{number}/bench/undo" WorkAtBench => bench::undo;
    post "/cases/{number}/bench/again" WorkAtBench => bench::carry_over;
    post "/cases/{number}/bench/timer" WorkAtBench => bench::start_timer;
    post "/cases/{number}/bench/timer/stop" WorkAtBench => bench::stop_timer;
    post "/cases/{number}/bench/timer/away" WorkAtBench => bench::remove_timer;
    get  "/bench/timers" WorkAtBench => bench::timers;
    post "/cases/{number}/assign" WorkAtBench => bench::assign;
    get  "/cases/{number}/close" TreatPatient => resolve::close_form;
    post "/cases/{number}/close" TreatPatient => resolve::close;
    post "/cases/{number}/reopen" TreatPatient => resolve::reopen;
}

/// The whole application, asked by browsers themselves.
pub fn router(app: App) -> Router {
    router_behind(app, Proxies::default())
}

/// The whole application behind these proxies.
pub fn router_behind(app: App, proxies: Proxies) -> Router {
    let over_tls = app.settings.over_tls;
    let own = OwnName::of(&app.settings.address);
    let outside = app.outside.clone();
    table(&app)
        .fallback(not_found)
        .method_not_allowed_fallback(wrong_method)
        .with_state(app)
        .layer(middleware::from_fn_with_state(own, own_name))
        .layer(middleware::from_fn(plain_bodies))
        .layer(middleware::from_fn(in_time))
        .layer(middleware::from_fn(when_again))
        .layer(middleware::from_fn(way_back))
        .layer(CatchPanicLayer::custom(panicked))
        .layer(middleware::from_fn(read_to_the_end))
        .layer(middleware::from_fn_with_state(proxies, note_whence))
        .layer(packing())
        .layer(middleware::from_fn(packed_whole))
        .layer(middleware::map_response(move |mut response: Response| {
            headers::set(response.headers_mut(), over_tls);
            headers::date(response.headers_mut(), outside.http_date());
            async move { response }
        }))
}

async fn not_found(State(app): State<App>, request: Request) -> Response {
    let answer = WebError::App(AppError::NotFound).into_response();
    match visitor(&app, request.headers(), request.extensions()).await {
        Ok(Some(person)) => with_frame(answer, |title| Frame::new(&app, &person, title, "")),
        _ => answer,
    }
}

async fn wrong_method() -> WebError {
    WebError::request(
        StatusCode::METHOD_NOT_ALLOWED,
        "This address is not used in this way.",
    )
}
