//! Texts as folders write them before they have read more than a page of the language, folded as
//! exact flat geometry.

use super::{fold, sound};

macro_rules! first_tries {
    ($($name:ident $file:literal)*) => { $(
        #[test]
        fn $name() {
            let text = include_str!(concat!("../../../../../testdata/first-tries/", $file, ".plane"));
            for step in fold(&format!("creep off\n{text}"), &[]).steps {
                sound(&step.after);
            }
        }
    )* };
}

first_tries! {
    a_dart_folded_in_half_first "half-first"
    a_band_over_then_corners_and_winglets "gate-winglets"
    a_rolled_leading_edge "rolled"
    a_pleated_leading_edge "pleated"
    a_letter_fold "thirds"
    a_blintz "blintz"
    a_book_unfolded_to_the_flat_sheet "book"
    a_blunt_nose_with_its_ends_folded_in "blunt-lock"
    a_kite "kite"
    hems_beside_corners_folded_in "hem"
    a_third_where_two_edges_cross "haga"
    a_share_of_an_edge_folded_apart "share"
    a_fold_opened_and_folded_again "refold"
    the_ends_of_a_folded_nose_brought_to_the_middle "tuck"
}
