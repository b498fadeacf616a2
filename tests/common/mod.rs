//! The whole application in a test: a fresh database, a clock that stands still, and visitors who read
//! pages and send their forms like a browser without scripts would.

#![allow(dead_code, reason = "each test binary uses its own part of this")]
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test says what it expects and falls over when it is wrong"
)]

use axum::Router;
use axum::body::{Body, HttpBody, to_bytes};
use axum::extract::ConnectInfo;
use axum::http::{Request, StatusCode, header};
use scraper::{ElementRef, Html, Selector};
use std::collections::BTreeMap;
use std::ffi::OsString;
use std::future::poll_fn;
use std::net::{IpAddr, SocketAddr};
use std::pin::Pin;
use tempfile::TempDir;
use tokio::sync::OnceCell;
use tower::ServiceExt;
use vestibule::app::{App, Settings, manage};
use vestibule::clock::Outside;
use vestibule::domain::law::profile::Profiles;
use vestibule::record::key::Signer;
use vestibule::store::{LastSigned, Store};
use vestibule::web;

/// 2026-03-02 08:00 UTC, a Monday.
pub const MONDAY_MS: i64 = 1_772_438_400_000;
/// A password that the rules accept; each account of a test has it.
pub const PASSWORD: &str = "plaster sets slowly";

/// An installation to be copied.
struct Master {
    files: Vec<(OsString, Vec<u8>)>,
    cookies: BTreeMap<String, Option<String>>,
}

static PEOPLED: OnceCell<Master> = OnceCell::const_new();
/// Far above what was drawn before the copy was made, so that nothing is drawn twice.
const COPIES_COUNT_FROM: u64 = 1_000_000;

/// The database in a folder.
pub async fn open_in(folder: &std::path::Path) -> Store {
    let address = Store::sqlite_address(&folder.join("test.sqlite"));
    let key = Signer::log("vestibule.test/record", &[7; 32]).unwrap();
    Store::open(&address, key).await.unwrap()
}

/// An installation with two offices and two labs.
pub struct World {
    pub app: App,
    pub router: Router,
    pub outside: Outside,
    /// Who has joined, each in a browser of their own.
    people: BTreeMap<String, Visitor>,
    _folder: TempDir,
}

impl World {
    /// An empty installation.
    pub async fn empty() -> World {
        World::in_folder(tempfile::tempdir().unwrap(), 1, BTreeMap::new()).await
    }

    /// The installation whose database lies in `folder`; `seed` is where its chance begins to count.
    async fn in_folder(
        folder: TempDir,
        seed: u64,
        cookies: BTreeMap<String, Option<String>>,
    ) -> World {
        let store = open_in(folder.path()).await;
        World::on(store, folder, seed, cookies)
    }

    fn on(
        store: Store,
        folder: TempDir,
        seed: u64,
        cookies: BTreeMap<String, Option<String>>,
    ) -> World {
        let outside = Outside::fixed(MONDAY_MS, seed);
        let settings = Settings {
            over_tls: false,
            address: "http://vestibule.test".to_owned(),
            notice: None,
        };
        let app = App::new(store, outside.clone(), settings);
        let router = web::router(app.clone());
        let people = cookies
            .into_iter()
            .map(|(login, cookie)| {
                (
                    login,
                    Visitor {
                        cookie,
                        ..Visitor::of(&router)
                    },
                )
            })
            .collect();
        World {
            router,
            app,
            outside,
            people,
            _folder: folder,
        }
    }

    /// The same installation, started with these profiles of local law.
    pub fn under(self, profiles: Profiles) -> World {
        let app = self.app.clone().with_profiles(profiles);
        self.served_by(app)
    }

    /// The same installation on the same morning, its chance counting from `seed`.
    pub fn with_chance_from(self, seed: u64) -> World {
        let mut app = self.app.clone();
        app.outside = Outside::fixed(MONDAY_MS, seed);
        self.served_by(app)
    }

    /// The same installation, started with other settings.
    pub fn served(self, app: App) -> World {
        self.served_by(app)
    }

    fn served_by(mut self, app: App) -> World {
        self.outside = app.outside.clone();
        self.app = app;
        self.router = web::router(self.app.clone());
        for visitor in self.people.values_mut() {
            visitor.router = self.router.clone();
        }
        self
    }

    /// The same installation, started with a file beside the key that says how far it has signed.
    pub async fn signed_beside(self) -> World {
        let address = Store::sqlite_address(&self.database_file());
        let key = Signer::log("vestibule.test/record", &[7; 32]).unwrap();
        let last = LastSigned::at(self._folder.path().join("record.last"));
        last.begin(&key).unwrap();
        let mut app = self.app.clone();
        app.store.close().await;
        app.store = Store::open_signed(&address, key, last).await.unwrap();
        self.served_by(app)
    }

    /// Two offices and two labs with one person of each role, made through the pages themselves:
    /// `dora` dentist and `anna` assistant at Northgate, `tom` technician and `mara` manager at Kiln;
    /// strangers `sven` (dentist, Southgate) and `lars` (technician, Anvil); `root` administrates.
    ///
    /// Made once, and copied for every test: hashing seven passwords each time takes longer than the stories.
    pub async fn peopled() -> World {
        let copy = PEOPLED
            .get_or_init(|| async { World::peopled_again().await.copy() })
            .await;
        let folder = tempfile::tempdir().unwrap();
        for (name, bytes) in &copy.files {
            std::fs::write(folder.path().join(name), bytes).unwrap();
        }
        World::in_folder(folder, COPIES_COUNT_FROM, copy.cookies.clone()).await
    }

    /// A connection to the database that knows nothing of the store, its locks taken away: for whoever
    /// rewrites what is written once.
    pub async fn past_the_store(&self) -> sqlx::AnyConnection {
        use sqlx::Connection;
        let address = Store::sqlite_address(&self._folder.path().join("test.sqlite"));
        let mut conn = sqlx::AnyConnection::connect(&address).await.unwrap();
        for table in ["leaf", "tree_node", "event", "alarm", "settlement"] {
            // They are gone already where somebody comes twice.
            for lock in ["no_UPDATE", "no_DELETE", "only_erased"] {
                let sql = format!("DROP TRIGGER IF EXISTS {table}_{lock}");
                let done = sqlx::raw_sql(sqlx::AssertSqlSafe(sql)).execute(&mut conn);
                done.await.unwrap();
            }
        }
        conn
    }

    /// The file of the database.
    pub fn database_file(&self) -> std::path::PathBuf {
        self._folder.path().join("test.sqlite")
    }

    /// All that lies in the files of the database now, the log that is written ahead among them.
    pub fn bytes_of_the_database(&self) -> String {
        let files = std::fs::read_dir(self._folder.path()).unwrap();
        // Not the folder of pictures.
        let files = files
            .map(|file| file.unwrap().path())
            .filter(|path| path.is_file());
        let bytes = files.map(|file| std::fs::read(file).unwrap());
        String::from_utf8_lossy(&bytes.collect::<Vec<_>>().concat()).into_owned()
    }

    /// The same database, opened as at a further start.
    pub async fn store_again(&self) -> Store {
        open_in(self._folder.path()).await
    }

    /// Its files as they lie now, as a power cut would leave them.
    pub fn copied_files(&self) -> TempDir {
        let copy = tempfile::tempdir().unwrap();
        for file in std::fs::read_dir(self._folder.path()).unwrap() {
            let file = file.unwrap();
            std::fs::copy(file.path(), copy.path().join(file.file_name())).unwrap();
        }
        copy
    }

    /// The database's files as they lie there, and everybody's session.
    fn copy(&self) -> Master {
        let files = std::fs::read_dir(self._folder.path())
            .unwrap()
            .map(|file| file.unwrap());
        Master {
            files: files
                .map(|file| (file.file_name(), std::fs::read(file.path()).unwrap()))
                .filter(|(name, _)| !name.to_string_lossy().ends_with("-shm"))
                .collect(),
            cookies: self
                .people
                .iter()
                .map(|(login, visitor)| (login.clone(), visitor.cookie.clone()))
                .collect(),
        }
    }

    async fn peopled_again() -> World {
        World::empty().await.with_people().await
    }

    /// An installation on this store, with all of them.
    pub async fn peopled_on(store: Store) -> World {
        let folder = tempfile::tempdir().unwrap();
        World::on(store, folder, 1, BTreeMap::new())
            .with_people()
            .await
    }

    async fn with_people(self) -> World {
        let mut world = self;
        let link = manage::first_link(&world.app).await.unwrap();
        let root = world.join(&link, "root", None).await;
        world.people.insert("root".to_owned(), root.clone());
        for (kind, name) in [
            ("office", "Northgate Dental"),
            ("lab", "Kiln Laboratory"),
            ("office", "Southgate Dental"),
            ("lab", "Anvil Laboratory"),
        ] {
            let answer = root
                .send(
                    "/parties/new",
                    "/parties/new",
                    &[
                        ("kind", kind),
                        ("name", name),
                        ("address", "1 Sample Street\nSampletown"),
                        ("licence", "L-100"),
                        ("zone", "Europe/Vienna"),
                        ("paper", "a4"),
                        ("numbering", "iso3950"),
                    ],
                )
                .await;
            assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
        }
        for (login, role, party) in [
            ("dora", "dentist", "Northgate Dental"),
            ("anna", "assistant", "Northgate Dental"),
            ("tom", "technician", "Kiln Laboratory"),
            ("mara", "lab_manager", "Kiln Laboratory"),
            ("sven", "dentist", "Southgate Dental"),
            ("lars", "technician", "Anvil Laboratory"),
        ] {
            let page = root.get("/people").await;
            let party = page.option_value("party", party);
            let answer = root
                .send(
                    "/people",
                    "/people/invite",
                    &[
                        ("name", login),
                        ("role", role),
                        ("party", &party),
                        ("password", PASSWORD),
                    ],
                )
                .await;
            let link = answer.attribute("input.link", "value");
            let licence = match login {
                "sven" => "D-7002",
                _ => "D-7001",
            };
            let licence = (role == "dentist").then_some(licence);
            let person = world
                .join(
                    link.trim_start_matches("http://vestibule.test"),
                    login,
                    licence,
                )
                .await;
            world.people.insert(login.to_owned(), person);
        }
        // Everybody knows who was let in.
        for person in world.people.values() {
            person.post("/let-in/read", &[]).await.is(303);
        }
        world
    }

    /// The browser in which this person joined.
    pub fn person(&self, login: &str) -> Visitor {
        self.people
            .get(login)
            .unwrap_or_else(|| panic!("nobody is called {login}"))
            .clone()
    }

    /// A browser that is not signed in, of an installation that is reached over TLS.
    pub fn nobody_over_tls(&self) -> Visitor {
        let mut app = self.app.clone();
        app.settings.over_tls = true;
        Visitor {
            origin: "https://vestibule.test",
            ..Visitor::of(&web::router(app))
        }
    }

    pub async fn join(&self, path: &str, login: &str, licence: Option<&str>) -> Visitor {
        let nobody = self.nobody();
        let mut fields = vec![
            ("name", login),
            ("login", login),
            ("password", PASSWORD),
            ("password_again", PASSWORD),
        ];
        if let Some(licence) = licence {
            fields.push(("licence", licence));
        }
        let answer = nobody.send(path, path, &fields).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text());
        Visitor {
            cookie: answer.cookie(),
            ..self.nobody()
        }
    }

    /// A browser that is not signed in.
    pub fn nobody(&self) -> Visitor {
        Visitor::of(&self.router)
    }

    /// A browser of somebody who has signed in.
    pub async fn visitor(&self, login: &str) -> Visitor {
        let answer = self
            .nobody()
            .send(
                "/sign-in",
                "/sign-in",
                &[("login", login), ("password", PASSWORD)],
            )
            .await;
        assert_eq!(
            answer.status,
            StatusCode::SEE_OTHER,
            "{login}: {}",
            answer.text()
        );
        Visitor {
            cookie: answer.cookie(),
            ..self.nobody()
        }
    }

    pub fn pass_minutes(&self, minutes: i64) {
        self.outside.pass(minutes * 60_000);
    }
}

/// A browser.
#[derive(Clone)]
pub struct Visitor {
    pub cookie: Option<String>,
    /// The address that it asks from.
    pub address: IpAddr,
    origin: &'static str,
    pub router: Router,
}

impl Visitor {
    /// One that is not signed in.
    fn of(router: &Router) -> Visitor {
        Visitor {
            cookie: None,
            address: IpAddr::from([127, 0, 0, 1]),
            origin: "http://vestibule.test",
            router: router.clone(),
        }
    }

    /// The same browser at another address.
    pub fn at(self, address: [u8; 4]) -> Visitor {
        Visitor {
            address: IpAddr::from(address),
            ..self
        }
    }

    /// The same browser with exactly these cookies.
    pub fn with_cookie(self, cookie: String) -> Visitor {
        Visitor {
            cookie: Some(cookie),
            ..self
        }
    }

    /// The same browser with the cookies that an answer has set.
    pub fn with_cookies_of(self, answer: &Answer) -> Visitor {
        Visitor {
            cookie: Some(answer.cookies().join("; ")),
            ..self
        }
    }

    pub async fn get(&self, path: &str) -> Answer {
        self.ask(Request::get(path).body(Body::empty()).unwrap())
            .await
    }

    /// The form of a draft with all that folds put in its place, as the script of the page does it.
    pub async fn whole_form(&self, path: &str) -> Answer {
        let page = self.get(path).await;
        if page.status != StatusCode::OK {
            return page;
        }
        let folds = self.get(&format!("{path}?folds=yes")).await;
        let folds = String::from_utf8(folds.is(200).body.clone()).unwrap();
        let mut whole = String::from_utf8(page.body).unwrap();
        let (parts, drawings) = folds.split_once("<div id=\"drawings\">").unwrap();
        for part in parts.split("<section class=\"part").skip(1) {
            let key = part.split(" id=\"").nth(1).unwrap();
            let key = key.split('"').next().unwrap();
            let (_, inside) = part.split_once("<div class=\"inside\">").unwrap();
            let (inside, _) = inside.rsplit_once("</details>").unwrap();
            let (before, section) = whole.split_once(&format!(" id=\"{key}\"")).unwrap();
            let (line, closed) = section
                .split_once("<div class=\"inside\" data-later>")
                .unwrap();
            let (_, after) = closed.split_once("</noscript>").unwrap();
            whole = format!("{before} id=\"{key}\"{line}<div class=\"inside\">{inside}{after}");
        }
        let empty = "<div id=\"drawings\"></div>";
        assert!(whole.contains(empty), "{path} has room for the drawings");
        let filled = format!("<div id=\"drawings\">{drawings}");
        Answer {
            body: whole.replace(empty, &filled).into_bytes(),
            status: page.status,
            headers: page.headers,
        }
    }

    /// Posts fields as they are, from a page of our own.
    pub async fn post(&self, path: &str, fields: &[(&str, &str)]) -> Answer {
        self.post_body(path, encode(fields.iter().map(|(k, v)| (*k, *v))))
            .await
    }

    pub async fn post_body(&self, path: &str, body: impl Into<Body>) -> Answer {
        let request = Request::post(path)
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
            .header(header::HOST, "vestibule.test")
            .header(header::ORIGIN, self.origin)
            .body(body.into())
            .unwrap();
        self.ask(request).await
    }

    /// Opens the page, takes its form that goes to `action` with all it holds, fills `fields` in, and sends it.
    pub async fn send(&self, page: &str, action: &str, fields: &[(&str, &str)]) -> Answer {
        self.send_where(page, action, "", fields).await
    }

    /// Like [`Self::send`], for one of several forms with the same action: the one that holds `within`.
    pub async fn send_where(
        &self,
        page: &str,
        action: &str,
        within: &str,
        fields: &[(&str, &str)],
    ) -> Answer {
        let opened = self.get(page).await;
        assert_eq!(opened.status, StatusCode::OK, "{page}: {}", opened.text());
        let mut form = opened.form(page, action, within);
        for (key, text) in fields {
            form.insert((*key).to_owned(), (*text).to_owned());
        }
        self.post_body(
            action,
            encode(form.iter().map(|(k, v)| (k.as_str(), v.as_str()))),
        )
        .await
    }

    pub async fn ask(&self, mut request: Request<Body>) -> Answer {
        if let Some(cookie) = &self.cookie {
            request
                .headers_mut()
                .insert(header::COOKIE, cookie.parse().unwrap());
        }
        let from = ConnectInfo(SocketAddr::from((self.address, 40_000)));
        request.extensions_mut().insert(from);
        let response = self.router.clone().oneshot(request).await.unwrap();
        let (parts, body) = response.into_parts();
        let kind = parts.headers.get(header::CONTENT_TYPE);
        let is_stream = kind.is_some_and(|kind| kind == "text/event-stream");
        Answer {
            body: match is_stream {
                true => first_word(body).await,
                false => to_bytes(body, usize::MAX).await.unwrap().to_vec(),
            },
            status: parts.status,
            headers: parts.headers,
        }
    }
}

/// What a stream of events begins with; nobody reads one to its end.
async fn first_word(mut body: Body) -> Vec<u8> {
    let frame = poll_fn(|cx| Pin::new(&mut body).poll_frame(cx)).await;
    frame.unwrap().unwrap().into_data().unwrap().to_vec()
}

pub fn encode<'a>(fields: impl Iterator<Item = (&'a str, &'a str)>) -> String {
    let code = |text: &str| {
        percent_encoding::utf8_percent_encode(text, percent_encoding::NON_ALPHANUMERIC).to_string()
    };
    fields
        .map(|(key, text)| format!("{}={}", code(key), code(text)))
        .collect::<Vec<_>>()
        .join("&")
}

/// What came back.
#[derive(Debug)]
pub struct Answer {
    pub status: StatusCode,
    pub headers: axum::http::HeaderMap,
    pub body: Vec<u8>,
}

impl Answer {
    /// The page as it was sent, without what keeps a date or a code in one line.
    pub fn text(&self) -> String {
        let sent = String::from_utf8_lossy(&self.body);
        let mut parts = sent.split("<span class=\"whole\">");
        let first = parts.next().unwrap_or_default().to_owned();
        parts.fold(first, |all, part| {
            let (whole, after) = part.split_once("</span>").unwrap();
            all + whole + after
        })
    }

    /// The words of the page, without tags, in single spaces.
    pub fn words(&self) -> String {
        let html = Html::parse_document(&self.text());
        let body = Selector::parse("main").unwrap();
        let text: String = html
            .select(&body)
            .flat_map(|main| main.text())
            .collect::<Vec<_>>()
            .join(" ");
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    /// Asserts the status, and shows the page where it is another.
    pub fn is(&self, status: u16) -> &Answer {
        assert_eq!(
            self.status.as_u16(),
            status,
            "to {}: {}",
            self.location(),
            self.text()
        );
        self
    }

    pub fn sees(&self, words: &str) -> &Answer {
        assert!(
            self.words().contains(words),
            "“{words}” is not in ({}): {}",
            self.status,
            self.words()
        );
        self
    }

    pub fn sees_not(&self, words: &str) -> &Answer {
        assert!(
            !self.words().contains(words),
            "“{words}” is in: {}",
            self.words()
        );
        self
    }

    pub fn location(&self) -> String {
        self.headers
            .get(header::LOCATION)
            .map(|value| value.to_str().unwrap().to_owned())
            .unwrap_or_default()
    }

    pub fn cookie(&self) -> Option<String> {
        let value = self.headers.get(header::SET_COOKIE)?.to_str().ok()?;
        value.split(';').next().map(str::to_owned)
    }

    /// All cookies that it sets, each as it is sent back.
    pub fn cookies(&self) -> Vec<String> {
        let values = self.headers.get_all(header::SET_COOKIE).iter();
        let text = values.map(|value| value.to_str().unwrap());
        text.map(|text| text.split(';').next().unwrap().to_owned())
            .collect()
    }

    pub fn attribute(&self, selector: &str, name: &str) -> String {
        let html = Html::parse_document(&self.text());
        let selector = Selector::parse(selector).unwrap();
        html.select(&selector)
            .next()
            .and_then(|e| match (e.value().name(), name) {
                // What stands in a box of several lines is its text.
                ("textarea", "value") => Some(e.text().collect::<String>()),
                // A box without a value holds an empty one, as in a browser.
                (_, "value") => Some(e.value().attr(name).unwrap_or_default().to_owned()),
                _ => e.value().attr(name).map(str::to_owned),
            })
            .unwrap_or_else(|| panic!("no {name} in {}", self.text()))
    }

    pub fn count(&self, selector: &str) -> usize {
        Html::parse_document(&self.text())
            .select(&Selector::parse(selector).unwrap())
            .count()
    }

    /// Where the links lead that begin so.
    /// The names of all boxes that are ticked and whose names end so.
    pub fn ticked(&self, end: &str) -> Vec<String> {
        let html = Html::parse_document(&self.text());
        let selector = Selector::parse(&format!("input[name$=\"{end}\"][checked]")).unwrap();
        html.select(&selector)
            .filter_map(|one| one.value().attr("name"))
            .map(str::to_owned)
            .collect()
    }

    pub fn hrefs(&self, prefix: &str) -> Vec<String> {
        let html = Html::parse_document(&self.text());
        let selector = Selector::parse(&format!("a[href^=\"{prefix}\"]")).unwrap();
        html.select(&selector)
            .filter_map(|one| one.value().attr("href"))
            .map(str::to_owned)
            .collect()
    }

    /// The names of the boxes that begin so.
    pub fn names(&self, prefix: &str) -> Vec<String> {
        let html = Html::parse_document(&self.text());
        let selector = Selector::parse(&format!("[name^=\"{prefix}\"]")).unwrap();
        html.select(&selector)
            .filter_map(|one| one.value().attr("name"))
            .map(str::to_owned)
            .collect()
    }

    /// The value of the option with these words in a list.
    pub fn option_value(&self, name: &str, words: &str) -> String {
        let html = Html::parse_document(&self.text());
        let selector = Selector::parse(&format!("select[name=\"{name}\"] option")).unwrap();
        html.select(&selector)
            .find(|option| option.text().collect::<String>().contains(words))
            .and_then(|option| option.value().attr("value"))
            .unwrap_or_else(|| panic!("no option {words} in {name}: {}", self.text()))
            .to_owned()
    }

    /// The values that the page's form to `action` holds, as a browser would send them.
    pub fn form(&self, page: &str, action: &str, within: &str) -> BTreeMap<String, String> {
        let html = Html::parse_document(&self.text());
        let forms = Selector::parse("form").unwrap();
        let form = html
            .select(&forms)
            .find(|form| {
                let target = form.value().attr("action").unwrap_or(page);
                form.value().attr("method") == Some("post")
                    && target == action
                    && form.html().contains(within)
            })
            .unwrap_or_else(|| panic!("no form to {action} on {page}: {}", self.text()));
        let mut fields = BTreeMap::new();
        for element in form.select(&Selector::parse("input, textarea, select").unwrap()) {
            if let Some((key, text)) = value_of(&element) {
                fields.insert(key, text);
            }
        }
        fields
    }
}

fn value_of(element: &ElementRef<'_>) -> Option<(String, String)> {
    let attr = |name: &str| element.value().attr(name);
    let key = attr("name")?.to_owned();
    let value = match element.value().name() {
        "textarea" => element.text().collect(),
        "select" => {
            let chosen = Selector::parse("option[selected]").unwrap();
            element
                .select(&chosen)
                .next()
                .and_then(|option| option.value().attr("value"))
                .unwrap_or_default()
                .to_owned()
        }
        _ if attr("type") == Some("checkbox") => {
            attr("checked")?;
            attr("value").unwrap_or("on").to_owned()
        }
        _ => attr("value").unwrap_or_default().to_owned(),
    };
    Some((key, value))
}
