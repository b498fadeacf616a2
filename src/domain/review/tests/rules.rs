//! Every rule with a document that it finds and a near one that it leaves alone.
