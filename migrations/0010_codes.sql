-- Why a case is held and whom it waits for were kept as sentences. From here on they are words of code, and
-- the sentence is made where it is shown: `office:resolve;lab:receive`, `provisional:upper missing +2`.
-- Every sentence that was ever written is built of the pieces below. Days were days before, as text.

UPDATE case_file SET waiting_for = REPLACE(waiting_for, '; ', ';') WHERE waiting_for <> '';
UPDATE case_file SET waiting_for = REPLACE(waiting_for, 'the office: ', 'office:') WHERE waiting_for <> '';
UPDATE case_file SET waiting_for = REPLACE(waiting_for, 'the lab: ', 'lab:') WHERE waiting_for <> '';
UPDATE case_file SET waiting_for = REPLACE(waiting_for, ':settle what was found wrong', ':resolve') WHERE waiting_for <> '';
UPDATE case_file SET waiting_for = REPLACE(waiting_for, ':receive what is on the way', ':receive') WHERE waiting_for <> '';
UPDATE case_file SET waiting_for = REPLACE(waiting_for, ':write and sign the prescription', ':write') WHERE waiting_for <> '';
UPDATE case_file SET waiting_for = REPLACE(waiting_for, ':read and acknowledge the prescription', ':acknowledge') WHERE waiting_for <> '';
UPDATE case_file SET waiting_for = REPLACE(waiting_for, ':make the work and hand it back', ':make') WHERE waiting_for <> '';
UPDATE case_file SET waiting_for = REPLACE(waiting_for, ':fit what came back', ':fit') WHERE waiting_for <> '';
-- The first version did not tell fitting and handing over apart.
UPDATE case_file SET waiting_for = REPLACE(waiting_for, ':hand over to the lab, or fit what came back', ':hand_over') WHERE waiting_for <> '';
UPDATE case_file SET waiting_for = REPLACE(waiting_for, ':hand over to the lab', ':hand_over') WHERE waiting_for <> '';

-- How many more reasons there are.
UPDATE case_file SET held = REPLACE(REPLACE(held, ', and ', ' +'), ' more', '') WHERE held LIKE '%, and % more';

-- What is the matter with a box, and with what nobody announced.
UPDATE case_file SET held = REPLACE(REPLACE(held, 'The seal of box ', 'box:'), ' was broken', ' seal_broken') WHERE held LIKE 'The seal of box %';
UPDATE case_file SET held = REPLACE(held, ' came with another seal', ' other_seal') WHERE held LIKE 'Box %';
UPDATE case_file SET held = REPLACE(held, ' came without its seal', ' no_seal') WHERE held LIKE 'Box %';
UPDATE case_file SET held = REPLACE(held, 'Box ', 'box:') WHERE held LIKE 'Box %';
UPDATE case_file SET held = REPLACE(held, 'Something came along that was not announced', 'unannounced') WHERE held <> '';

-- What is the matter with an item.
UPDATE case_file SET held = REPLACE(held, ' was missing from the box', ' missing') WHERE held <> '';
UPDATE case_file SET held = REPLACE(held, ' arrived damaged', ' damaged') WHERE held <> '';
UPDATE case_file SET held = REPLACE(held, ' is not as described', ' not_as_described') WHERE held <> '';
UPDATE case_file SET held = REPLACE(held, ' came without a mark of disinfection', ' unmarked') WHERE held <> '';
UPDATE case_file SET held = REPLACE(REPLACE(REPLACE(held, ': ', ' counted_in '), ' pieces sent, ', ' '), ' found', '') WHERE held LIKE '%: % pieces sent, %';
UPDATE case_file SET held = REPLACE(REPLACE(REPLACE(held, ': ', ' counted_out '), ' pieces before, ', ' '), ' counted out', '') WHERE held LIKE '%: % pieces before, %';

-- Which item.
UPDATE case_file SET held = REPLACE(REPLACE(held, ', upper ', ':upper '), ', lower ', ':lower ') WHERE held <> '';
UPDATE case_file SET held = REPLACE(held, 'Provisional denture', 'provisional') WHERE held <> '';
UPDATE case_file SET held = REPLACE(held, 'Duplicate denture', 'duplicate') WHERE held <> '';
UPDATE case_file SET held = REPLACE(held, 'Final denture', 'final_denture') WHERE held <> '';
UPDATE case_file SET held = REPLACE(held, 'Old denture', 'old_denture') WHERE held <> '';
UPDATE case_file SET held = REPLACE(held, 'Bite record', 'bite_record') WHERE held <> '';
UPDATE case_file SET held = REPLACE(held, 'Facebow record', 'facebow_record') WHERE held <> '';
UPDATE case_file SET held = REPLACE(held, 'Protrusive record', 'protrusive_record') WHERE held <> '';
UPDATE case_file SET held = REPLACE(held, 'Impression', 'impression') WHERE held <> '';
UPDATE case_file SET held = REPLACE(held, 'Record base with rim', 'rims') WHERE held <> '';
UPDATE case_file SET held = REPLACE(held, 'Wax try-in', 'try_in') WHERE held <> '';
UPDATE case_file SET held = REPLACE(held, 'Master cast', 'cast') WHERE held <> '';
UPDATE case_file SET held = REPLACE(held, 'Remount cast', 'remount_cast') WHERE held <> '';
UPDATE case_file SET held = REPLACE(held, 'Index of the tooth positions', 'lab_index') WHERE held <> '';
UPDATE case_file SET held = REPLACE(held, 'Shade tab', 'shade_tab') WHERE held <> '';
UPDATE case_file SET held = REPLACE(held, 'Set of teeth on its card', 'teeth_card') WHERE held <> '';
UPDATE case_file SET held = REPLACE(held, 'Implant parts', 'implant_parts') WHERE held <> '';
UPDATE case_file SET held = REPLACE(held, 'Photograph', 'photograph') WHERE held <> '';
UPDATE case_file SET held = REPLACE(held, 'Other item', 'other') WHERE held <> '';
UPDATE case_file SET held = REPLACE(held, 'An item', 'other') WHERE held <> '';
