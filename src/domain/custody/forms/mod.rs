//! What the forms of custody ask for, each as the command that it makes. What is wrong with a form by itself is
//! said here; what is wrong with it in its case is said by the rules.

mod bench;
mod fit;
mod fitting;
mod follow_up;
mod from_paper;
mod halt;
mod item_choice;
mod passing;
mod pick_up;
mod picture;
mod promise;
mod question;
mod receipt;
mod record;
mod registration;
mod release;
mod scan_file;
mod several;
mod shared;
mod statement;

pub use bench::{
    AgainForm, AssignForm, CarryForm, MeasuredForm, NOTHING_AGAIN, StartTimerForm, StepForm,
    TimerForm, UndoForm, UsedForm, WorkForm,
};
pub use fit::{CheckFitForm, FitHeadForm, FitRowForm, FitTyped, readings_typed};
pub use fitting::{AS_IT_WAS, FitForm, Fitting, NOTHING};
pub use follow_up::{ExaminedForm, FollowUpForm, FollowUpTyped, ShareForm};
pub use from_paper::{FromPaper, FromPaperForm};
pub use halt::{FateForm, HaltForm, HaltKind, HaltReasonForm};
pub use item_choice::ItemChoice;
pub use passing::{
    AlongForm, AuthorityForm, CameForm, EndPassForm, GoesForm, PassAnswerForm, PassAskForm,
    PassMistakeForm, PassMoveForm, PassOnForm, PassReplyForm, WayForm,
};
pub use pick_up::{PickUpForm, TakenForm};
pub use picture::PictureForm;
pub use promise::{DayAnswerForm, PromiseForm};
pub use question::{AnswerForm, AskForm, CallForm, ConfirmForm};
pub use receipt::{ExtraForm, FoundForm, ParcelFoundForm, ReceiptForm};
pub use record::{ACTION_KEY, RecordForm};
pub use registration::{ItemPlace, Registration, RegistrationForm};
pub use release::{
    CarriageForm, ExceptionForm, ITEMS, PARCELS_MOST, ParcelForm, ReleaseForm, SendAnywayForm,
    SentForm, TakenNowForm,
};
pub use scan_file::ScanForm;
pub use several::{
    NewItem, PutForm, SetForm, SetRowForm, SetShownForm, SeveralForm, SeveralRowForm,
};
pub use statement::{
    CloseForm, EraseForm, EraseReasonForm, KeepForm, ReopenForm, ResolveForm, TakeBackForm,
    text_key,
};
