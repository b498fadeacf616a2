//! A case between Northgate and Kiln, brought as far as a story needs it.

use crate::common::{Answer, PASSWORD, Visitor, World};
use std::collections::BTreeMap;
use vestibule::store::record::leaves_owned_by;

/// The least that may be signed.
pub const LEAST: [(&str, &str); 6] = [
    ("pieces.0.arch", "upper"),
    ("pieces.0.stage", "process"),
    ("pieces.0.description", "complete denture"),
    ("pieces.0.materials", "heat-cured resin, cross-linked teeth"),
    ("shade.tab", "B-20"),
    ("dates.wanted", "2026-03-20"),
];

pub struct Scene {
    pub world: World,
    pub dora: Visitor,
    pub anna: Visitor,
    pub tom: Visitor,
    pub mara: Visitor,
    pub patient: String,
    pub number: String,
}

/// The upper provisional in the mouth, its duplicate in hand, and the bite record.
pub struct Things {
    pub provisional: String,
    pub duplicate: String,
    pub bite: String,
}

/// The fields of a page as they stood, with these over them.
pub fn over<'a>(
    old: &'a BTreeMap<String, String>,
    more: &[(&'a str, &'a str)],
) -> Vec<(&'a str, &'a str)> {
    let old = old.iter().map(|(key, text)| (key.as_str(), text.as_str()));
    let fields: BTreeMap<&str, &str> = old.chain(more.iter().copied()).collect();
    fields.into_iter().collect()
}

impl Scene {
    /// A case is open; nothing is registered or written.
    pub async fn opened() -> Scene {
        Scene::opened_in(World::peopled().await).await
    }

    pub async fn opened_in(world: World) -> Scene {
        Scene::opened_for(world, &[], "both").await
    }

    /// A case of these arches, for a patient of whom the card says this.
    pub async fn opened_for(world: World, card: &[(&str, &str)], arches: &str) -> Scene {
        let [dora, anna, tom, mara] =
            ["dora", "anna", "tom", "mara"].map(|login| world.person(login));
        let patient = last_part(&dora.send("/patients/new", "/patients/new", card).await);
        let number = open_case(&dora, &patient, arches).await;
        Scene {
            world,
            dora,
            anna,
            tom,
            mara,
            patient,
            number,
        }
    }

    /// A case with revision 1 signed.
    pub async fn signed() -> Scene {
        let scene = Scene::opened().await;
        scene.sign(&LEAST).await.is(303);
        scene
    }

    pub fn at(&self, rest: &str) -> String {
        format!("/cases/{}{rest}", self.number)
    }

    /// Writes fields into the draft as this person.
    pub async fn write(&self, who: &Visitor, fields: &[(&str, &str)]) -> Answer {
        who.send(&self.at("/write"), &self.at("/write"), fields)
            .await
    }

    /// Dora begins the draft of the next revision, and changes nothing yet.
    pub async fn begin_draft(&self) {
        let answer = self.write(&self.dora, &[("go", "sign")]).await;
        assert!(
            matches!(answer.status.as_u16(), 303 | 422),
            "{}",
            answer.text()
        );
    }

    /// Lets every caution of the review stand, with a reason.
    pub async fn reason(&self) {
        let page = self.dora.get(&self.at("/write")).await;
        let boxes = page.names("reason.");
        let fields: Vec<(&str, &str)> = boxes
            .iter()
            .map(|name| (name.as_str(), "as agreed"))
            .collect();
        let answer = self.write(&self.dora, &fields).await;
        assert!(answer.status.as_u16() < 400, "{}", answer.text());
    }

    /// Dora writes these fields, gives her reasons for what the review asks, and signs.
    pub async fn sign(&self, fields: &[(&str, &str)]) -> Answer {
        self.write(&self.dora, fields).await.is(303);
        self.reason().await;
        if self.dora.get(&self.at("/sign")).await.status == 409 {
            self.begin_draft().await;
        }
        self.dora
            .send(
                &self.at("/sign"),
                &self.at("/sign"),
                &[("password", PASSWORD)],
            )
            .await
    }

    /// What Dora would send to sign what the page shows her now.
    pub async fn signature(&self) -> Vec<(String, String)> {
        let page = self.at("/sign");
        let mut form = self.dora.get(&page).await.form(&page, &page, "");
        form.insert("password".to_owned(), PASSWORD.to_owned());
        form.into_iter().collect()
    }

    /// Dora sends what she had before her.
    pub async fn sign_as_shown(&self, shown: &[(String, String)]) -> Answer {
        let fields: Vec<(&str, &str)> = shown
            .iter()
            .map(|(key, text)| (key.as_str(), text.as_str()))
            .collect();
        self.dora.post(&self.at("/sign"), &fields).await
    }

    /// Registers an item; returns its tag.
    pub async fn add(&self, who: &Visitor, kind: &str, arch: &str, place: &str) -> String {
        let page = self.at("/items/new");
        let answer = who
            .send(
                &page,
                &page,
                &[("item_kind", kind), ("arch", arch), ("place", place)],
            )
            .await;
        answer.is(303);
        last_part(&answer)
    }

    pub async fn things(&self) -> Things {
        Things {
            provisional: self.add(&self.dora, "provisional", "upper", "worn").await,
            duplicate: self.add(&self.dora, "duplicate", "upper", "here").await,
            bite: self.add(&self.anna, "bite_record", "", "here").await,
        }
    }

    /// Records that `tag`, or `nothing`, goes into the upper arch.
    pub async fn fit(&self, who: &Visitor, tag: &str, more: &[(&str, &str)]) -> Answer {
        // What comes back from the lab is entered as fitted without a disinfection, where a story says none.
        let without = ("as_it_was", "yes");
        let fields: Vec<_> = [("fit", tag), without]
            .iter()
            .chain(more)
            .copied()
            .collect();
        who.send_where(
            &self.at("/mouth"),
            &self.at("/mouth"),
            "value=\"upper\"",
            &fields,
        )
        .await
    }

    /// Hands these items over and no other, disinfected, to a courier who takes them at once; `more` goes over what the form
    /// holds.
    pub async fn release(&self, who: &Visitor, tags: &[&str], more: &[(&str, &str)]) -> Answer {
        let page = self.at("/release");
        let ticked = who.get(&page).await.ticked(".take");
        let ticks: Vec<String> = tags.iter().map(|tag| format!("{tag}.take")).collect();
        let mut fields: Vec<(&str, &str)> = ticked.iter().map(|key| (key.as_str(), "")).collect();
        fields.retain(|(key, _)| !ticks.iter().any(|tick| tick == key));
        fields.extend(ticks.iter().map(|key| (key.as_str(), "yes")));
        fields.extend([
            ("agent", "sample agent"),
            ("dilution", "1:10"),
            ("minutes", "10"),
            ("rinsed", "yes"),
        ]);
        fields.extend([
            ("carrier", "a courier"),
            ("purpose_code", "other"),
            ("purpose", "final upper"),
            ("taken_now", "yes"),
            ("taken_by", "R. K."),
        ]);
        fields.extend(password_if_asked(who, &page).await);
        fields.extend(more);
        who.send(&page, &page, &fields).await
    }

    /// Packs the items, disinfected, for a courier who comes later.
    pub async fn pack(&self, who: &Visitor, tags: &[&str], more: &[(&str, &str)]) -> Answer {
        let later = [("taken_now", ""), ("taken_by", "")];
        let more: Vec<(&str, &str)> = later.iter().chain(more).copied().collect();
        self.release(who, tags, &more).await
    }

    /// Enters that the courier took the parcels of the handoff that comes first.
    pub async fn pick_up(&self, who: &Visitor, more: &[(&str, &str)]) -> Answer {
        let path = self.handoff(who).await;
        let action = format!("{path}/picked-up");
        let fields: Vec<(&str, &str)> = [("picked_by", "R. K."), ("parcels", "1")]
            .into_iter()
            .chain(password_if_asked(who, &path).await)
            .chain(more.iter().copied())
            .collect();
        who.send(&path, &action, &fields).await
    }

    /// The numbers of the case's leaves in the record.
    pub async fn leaves(&self) -> Vec<u64> {
        let mut conn = self.world.app.store.read().await.unwrap();
        let leaves = leaves_owned_by(&mut conn, &self.number).await.unwrap();
        leaves.iter().map(|leaf| leaf.number).collect()
    }

    /// The handoff that comes first on the case's page.
    pub async fn handoff(&self, who: &Visitor) -> String {
        who.get(&self.at(""))
            .await
            .attribute("a[href^=\"/handoffs/\"]", "href")
    }

    /// Receives the open handoff, each tag with its outcome, all of them marked.
    pub async fn receive(
        &self,
        who: &Visitor,
        found: &[(&str, &str)],
        more: &[(&str, &str)],
    ) -> Answer {
        let path = self.handoff(who).await;
        let pairs: Vec<(String, &str)> = found
            .iter()
            .flat_map(|(tag, outcome)| {
                [
                    (format!("{tag}.outcome"), *outcome),
                    (format!("{tag}.marked"), "yes"),
                    (
                        format!("{tag}.here"),
                        if *outcome == "missing" { "" } else { "yes" },
                    ),
                ]
            })
            .collect();
        let fields: Vec<(&str, &str)> = pairs
            .iter()
            .map(|(key, text)| (key.as_str(), *text))
            .chain(password_if_asked(who, &path).await)
            .chain(more.iter().copied())
            .collect();
        who.send(&path, &path, &fields).await
    }

    /// Records something on an item's page.
    pub async fn record(
        &self,
        who: &Visitor,
        tag: &str,
        word: &str,
        fields: &[(&str, &str)],
    ) -> Answer {
        let (page, action) = (format!("/items/{tag}"), format!("/items/{tag}/record"));
        let within = |word: &str| format!("value=\"{word}\"");
        // What ends an item is signed.
        let signs = ["destroy", "use_up", "withdraw"].contains(&word);
        let password = signs.then_some(("password", PASSWORD));
        let signed: Vec<(&str, &str)> =
            password.into_iter().chain(fields.iter().copied()).collect();
        let fields = signed.as_slice();
        if who.get(&page).await.text().contains(&within(word)) {
            return who.send_where(&page, &action, &within(word), fields).await;
        }
        // What the rules would refuse is not offered: sent all the same, from a page that has become stale.
        let stale: Vec<(&str, &str)> = fields.iter().copied().chain([("action", word)]).collect();
        who.send_where(&page, &action, &within("correct"), &stale)
            .await
    }

    /// Provisional and bite record are at the lab; the duplicate is worn.
    pub async fn at_the_lab() -> (Scene, Things) {
        Scene::at_the_lab_in(World::peopled().await).await
    }

    /// The same in this world.
    pub async fn at_the_lab_in(world: World) -> (Scene, Things) {
        let scene = Scene::opened_in(world).await;
        scene.sign(&LEAST).await.is(303);
        let things = scene.things().await;
        scene.fit(&scene.dora, &things.duplicate, &[]).await.is(303);
        let tags = [things.provisional.as_str(), things.bite.as_str()];
        scene.release(&scene.anna, &tags, &[]).await.is(303);
        scene
            .receive(&scene.tom, &tags.map(|tag| (tag, "sound")), &[])
            .await
            .is(303);
        (scene, things)
    }
}

/// The password, where the page asks for it again.
async fn password_if_asked(who: &Visitor, page: &str) -> Option<(&'static str, &'static str)> {
    let asked = who.get(page).await.count("input[name=password]") > 0;
    asked.then_some(("password", PASSWORD))
}

/// What is said of a spare when it is given.
pub const SPARE: [(&str, &str); 4] = [
    ("mark", "spare, 2026-03"),
    ("kept", "a closed cup at home"),
    ("keeper", "the patient"),
    ("in_water", "yes"),
];

pub async fn open_case(who: &Visitor, patient: &str, arches: &str) -> String {
    let page = who.get("/cases/new").await;
    let lab = page.option_value("lab", "Kiln Laboratory");
    let fields = [
        ("patient", patient),
        ("arches", arches),
        ("lab", lab.as_str()),
    ];
    last_part(&who.send("/cases/new", "/cases/new", &fields).await)
}

/// The last part of the path that a redirect leads to.
pub fn last_part(answer: &Answer) -> String {
    answer.is(303);
    let path = answer.location();
    let path = path.split('?').next().unwrap_or_default();
    path.rsplit('/').next().unwrap_or_default().to_owned()
}
