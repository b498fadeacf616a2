//! Every form of the application by its lists of fields: what a key stands for, wherever it was typed.

use super::reviewing::REASON;
use super::{
    bench_code, bench_devices, choose_law, clear_alarm, clock_word, closed_days, join, lab_days,
    let_in, load_list, manage, open_case, own_account, print_labels, see_record, sign, sign_in,
    take_remedy, usual_sets,
};
use crate::domain::custody::forms::{
    AnswerForm, AskForm, AssignForm, CallForm, CarryForm, CheckFitForm, CloseForm, ConfirmForm,
    DayAnswerForm, EndPassForm, EraseForm, Fitting, FollowUpTyped, HaltForm, KeepForm,
    PassAnswerForm, PassAskForm, PassMistakeForm, PassMoveForm, PassOnForm, PassReplyForm,
    PickUpForm, PictureForm, PromiseForm, ReceiptForm, RecordForm, Registration, ReleaseForm,
    ReopenForm, ResolveForm, ScanForm, SetForm, SeveralForm, ShareForm, StartTimerForm,
    TakeBackForm, TimerForm, UndoForm, WorkForm,
};
use crate::domain::form::{FieldSet, FieldSpec, Form, Kind};
use crate::domain::people::party::Side;
use std::collections::BTreeSet;
use std::sync::LazyLock;

/// The lists of fields of all forms that are read as commands; a prescription and a patient's card have a list of
/// their own.
fn field_sets() -> Vec<FieldSet> {
    [
        ReleaseForm::field_sets(),
        ReceiptForm::field_sets(),
        PickUpForm::field_sets(),
        TakeBackForm::field_sets(),
        Registration::field_sets(),
        SetForm::field_sets(),
        SeveralForm::field_sets(),
        RecordForm::field_sets(),
        Fitting::field_sets(),
        ResolveForm::field_sets(),
        CloseForm::field_sets(),
        ReopenForm::field_sets(),
        KeepForm::field_sets(),
        EraseForm::field_sets(),
        HaltForm::field_sets(),
        AskForm::field_sets(),
        AnswerForm::field_sets(),
        CallForm::field_sets(),
        ConfirmForm::field_sets(),
        PromiseForm::field_sets(),
        DayAnswerForm::field_sets(),
        PassOnForm::field_sets(),
        PassAnswerForm::field_sets(),
        PassMoveForm::field_sets(),
        EndPassForm::field_sets(),
        PassAskForm::field_sets(),
        PassReplyForm::field_sets(),
        PassMistakeForm::field_sets(),
        AssignForm::field_sets(),
        WorkForm::field_sets(),
        StartTimerForm::field_sets(),
        TimerForm::field_sets(),
        UndoForm::field_sets(),
        CarryForm::field_sets(),
        CheckFitForm::field_sets(),
        PictureForm::field_sets(),
        ScanForm::field_sets(),
        FollowUpTyped::field_sets(),
        ShareForm::field_sets(),
        open_case::OpenCaseForm::field_sets(),
        manage::NewParty::field_sets(),
        let_in::InviteForm::field_sets(),
        let_in::WayBackForm::field_sets(),
        let_in::LetInAgainForm::field_sets(),
        let_in::RevokeForm::field_sets(),
        join::JoinForm::field_sets(),
        join::WayInForm::field_sets(),
        sign_in::SignInForm::field_sets(),
        sign_in::EndForm::field_sets(),
        own_account::PasswordForm::field_sets(),
        bench_code::CodeForm::field_sets(),
        bench_code::NoCodeForm::field_sets(),
        bench_code::ByCodeForm::field_sets(),
        bench_devices::AllowForm::field_sets(),
        bench_devices::TakeDeviceBackForm::field_sets(),
        choose_law::LawForm::field_sets(),
        load_list::NewGuide::field_sets(),
        closed_days::ClosedDaysForm::field_sets(),
        lab_days::LabDaysForm::field_sets(),
        load_list::TakeOutForm::field_sets(),
        print_labels::GridForm::field_sets(),
        print_labels::OffsetForm::field_sets(),
        print_labels::StartForm::field_sets(),
        print_labels::OwnGridForm::field_sets(),
        print_labels::SingleForm::field_sets(),
        clear_alarm::ClearAlarmForm::field_sets(),
        clock_word::ClockForm::field_sets(),
        see_record::PaperForm::field_sets(),
        see_record::GrowthForm::field_sets(),
        take_remedy::RemedyForm::field_sets(),
        sign::SignForm::field_sets(),
        usual_sets::UsualForm::field_sets_of(Side::Office),
        usual_sets::EndSetForm::field_sets(),
    ]
    .concat()
}

/// The keys of what nobody but whoever types it may know.
static SECRETS: LazyLock<BTreeSet<&'static str>> = LazyLock::new(|| {
    let sets = field_sets().into_iter();
    let fields = sets.flat_map(|set| set.fields);
    let secret = fields.filter(|spec| matches!(spec.kind, Kind::Secret { .. }));
    secret.map(|spec| spec.key).collect()
});

/// Whether what is typed under this key is a password or a code, in whichever row of a form.
pub fn is_secret(key: &str) -> bool {
    let last = key.rsplit('.').next().unwrap_or(key);
    SECRETS.contains(last)
}

/// What a page calls a field.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Called {
    /// Words for somebody who reads what was typed there.
    Words(String),
    /// A password, or what the page itself carries: nobody typed it to be read again.
    Nothing,
}

/// What the field with this key is called; `None` where no form has it.
pub fn called(key: &str) -> Option<Called> {
    if let Some(rule) = key.strip_prefix(REASON) {
        let rule = rule.split_once('.').map_or(rule, |(rule, _)| rule);
        let words = format!("Reason for “{}”", rule.replace('-', " "));
        return Some(Called::Words(words));
    }
    if let Some(words) = sign::written_label(key) {
        return Some(Called::Words(words));
    }
    let sets = field_sets();
    let found = sets.iter().find_map(|set| Some((set, set.find(key)?)));
    let (_, spec) = found?;
    Some(match spec.kind {
        Kind::Secret { .. } | Kind::Hidden => Called::Nothing,
        _ => Called::Words(in_row(key, spec)),
    })
}

/// The label, with the row that it stands in: “parcel 1: Seal number”.
fn in_row(key: &str, spec: &FieldSpec) -> String {
    let row = key.strip_suffix(spec.key).unwrap_or_default();
    match row.trim_end_matches('.').replace('.', " ") {
        row if row.is_empty() => spec.label.to_owned(),
        row => format!("{row}: {}", spec.label),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::Path;

    #[test]
    fn a_field_is_called_by_its_label_and_its_row_and_what_a_page_carries_by_nothing() {
        let words = |key: &str| match called(key) {
            Some(Called::Words(words)) => words,
            other => panic!("{key}: {other:?}"),
        };
        assert_eq!(words("carrier"), "Carrier");
        assert_eq!(words("parcel.2.seal"), "parcel 2: Seal number");
        assert!(words("vertical.rest_mm").len() > 5);
        assert_eq!(words("patient.age_band"), "Patient's card: Age band");
        for carried in ["password", "new_password", "version", "hash"] {
            assert_eq!(called(carried), Some(Called::Nothing), "{carried}");
        }
        assert_eq!(called("post_key"), None);
    }

    /// The files of the program below a folder.
    fn sources(folder: &Path, found: &mut Vec<String>) {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                sources(&path, found);
            } else if path.extension().is_some_and(|end| end == "rs") {
                found.push(std::fs::read_to_string(&path).unwrap());
            }
        }
    }

    /// A form that is not in the list would have its password in the key of its post.
    #[test]
    fn whatever_a_form_asks_as_a_password_is_secret() {
        let mut texts = Vec::new();
        let program = Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap();
        sources(program, &mut texts);
        let asks = |line: &&str| {
            [" = PASSWORD, ", " = NEW_PASSWORD, "]
                .iter()
                .any(|kind| line.contains(kind))
        };
        let lines = texts.iter().flat_map(|text| text.lines()).filter(asks);
        let keys = lines.filter_map(|line| Some(line.trim().split_once(": ")?.0));
        let is_name = |key: &&str| {
            key.chars()
                .all(|sign| sign.is_ascii_lowercase() || sign == '_')
        };
        let keys: BTreeSet<&str> = keys.filter(is_name).collect();
        assert!(
            keys.contains("password") && keys.contains("new_bench_code"),
            "{keys:?}"
        );
        for key in &keys {
            assert!(
                is_secret(key) && is_secret(&format!("row.1.{key}")),
                "{key}"
            );
        }
        assert_eq!(*SECRETS, keys);
        assert!(!is_secret("note") && !is_secret("reason"));
    }
}
