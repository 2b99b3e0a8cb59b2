//! The catalogue: every code with its severity, what it means and what to do. `silkfall explain` prints it.
//!
//! To add one, add a row to the table of its area. The name is kebab-case, starts with its area, and is never
//! reused for something else.

use super::Severity;

macro_rules! catalogue {
    ($( $(#[$area:meta])* $id:ident, $name:literal, $severity:ident, $means:literal, $cure:literal; )*) => {
        /// A kind of finding. The name is stable: it stands in JSON and is what `explain` takes.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Code {
            $( $(#[$area])* #[doc = $means] $id, )*
        }

        impl Code {
            /// All codes in the order of the catalogue.
            pub const ALL: &'static [Code] = &[ $( Code::$id, )* ];

            /// The stable kebab-case name.
            pub fn name(self) -> &'static str {
                match self { $( Code::$id => $name, )* }
            }

            /// How much it matters.
            pub fn severity(self) -> Severity {
                match self { $( Code::$id => Severity::$severity, )* }
            }

            /// What it means, in full sentences.
            pub fn means(self) -> &'static str {
                match self { $( Code::$id => $means, )* }
            }

            /// What to do about it, in full sentences.
            pub fn cure(self) -> &'static str {
                match self { $( Code::$id => $cure, )* }
            }
        }
    };
}

catalogue! {
    // Reading a recording or table.
    LogTimeBackwards, "log-time-backwards", Warning,
        "A time is earlier than the one in the row before it. The rows from there to where time passes its old maximum are not used.",
        "Remove the repeated rows, or check the logger's clock.";
    LogNoUsableColumn, "log-no-usable-column", Error,
        "No column could be understood as time together with a height or a pressure.",
        "Name the columns and units with --time and --height or --pressure.";
    LogTimeRepeated, "log-time-repeated", Warning,
        "A row has the same time as the row before it. Only the first of them is used.",
        "Check whether two recordings were joined, or whether the logger writes each row twice.";
    LogClockRestart, "log-clock-restart", Warning,
        "Time goes back and runs on from there, as after a power cut. A new stretch begins, and nothing is measured across the mark. How long the logger was off is not known: times are counted on by one usual step.",
        "Nothing, if the logger was switched off there; else cut the file in two.";
    LogClockWrapped, "log-clock-wrapped", Note,
        "The clock came to the end of its range (midnight, a full hour, a full counter) and began anew. Times are counted on across it.",
        "Nothing; if the logger was restarted just there, cut the file in two.";
    LogClockCoarse, "log-clock-coarse", Warning,
        "Several rows share each time, because the clock is coarser than the sampling. The rows of a step are spread evenly over it, which is right if the logger samples at a steady rate.",
        "If the rate is known, state it with --time row@10Hz.";
    LogGap, "log-gap", Note,
        "No samples for more than five usual steps. A drop in which samples are missing is measured from the rest.",
        "Nothing, if the logger pauses on the ground; else look for a full or slow memory card.";
    LogSensorStuck, "log-sensor-stuck", Warning,
        "The top of a flight is flat though reached and left at full speed, or the value never changes at all: the sensor was at the end of its range, or not working.",
        "Set aside the drops concerned; look for another column or logger.";
    LogImpossibleValue, "log-impossible-value", Warning,
        "A pressure or height that no recording on Earth can hold, often a logger's word for no value.",
        "Check the unit; nothing else, if these are single rows.";
    LogBlankCell, "log-blank-cell", Note,
        "A cell of time, height or pressure is empty or says that there is no value. The row is not used.",
        "Nothing, if the sensor is slower than the rows; else look for its fault.";
    LogNotANumber, "log-not-a-number", Warning,
        "A cell of time, height or pressure is neither a number nor a time. The row is not used.",
        "Correct the cell, or check that the column, the decimal mark and the form of time were understood.";
    LogRowLength, "log-row-length", Warning,
        "A row has more or fewer cells than the others, so that its cells may stand in the wrong columns. It is not used.",
        "Correct the row, or check that delimiter and decimal mark were understood.";
    LogLastLineCut, "log-last-line-cut", Note,
        "The last line has no line end and is shorter than the others, as after a power cut. It is not used.",
        "Nothing.";
    LogHeaderRepeated, "log-header-repeated", Note,
        "The header line stands again among the rows, as when a logger was restarted into the same file.",
        "Nothing; if the units differ between the parts, cut the file.";
    LogStrayBytes, "log-stray-bytes", Warning,
        "NUL bytes or byte order marks stand inside the text, as after a power cut or when files were joined. They are read as blanks.",
        "Nothing, if the rows around them look right.";
    LogBadEncoding, "log-bad-encoding", Warning,
        "Some bytes have no meaning in the encoding that was stated or marked.",
        "State another encoding with --encoding.";
    LogNotText, "log-not-text", Error,
        "The file is an image, a document, an archive or binary data.",
        "Give the file that the logger wrote, or export it as CSV.";
    LogUnreadable, "log-unreadable", Error,
        "The file could not be opened or read.",
        "Check that the path is right and that you may read it.";
    LogEmpty, "log-empty", Error,
        "The file holds no row that can be used.",
        "Look into the file, and check that the logger was recording.";
    LogUnitInferred, "log-unit-inferred", Note,
        "The unit of a column is not stated; only one is plausible for its values.",
        "State the unit with the option shown, and the note goes.";
    LogUnitGuessed, "log-unit-guessed", Warning,
        "The unit of a column is not stated, and more than one is plausible. All rates go with it.",
        "State the unit with the option shown.";
    LogColumnGuessed, "log-column-guessed", Warning,
        "No name says what a column holds; its values look like air pressures near the ground.",
        "Name the column and its unit with --pressure or --height.";
    LogSeveralColumns, "log-several-columns", Note,
        "More than one column could be the one to measure by. Heights from pressure come before satellites, raw before smoothed ones, then the leftmost.",
        "Name the column with --height or --pressure.";
    LogDecimalAmbiguous, "log-decimal-ambiguous", Error,
        "Commas can be read in two ways: as decimal marks and as delimiters, or as decimal marks and in thousands. A guess could be wrong by a factor of a thousand, so none is made.",
        "Export with semicolons or decimal points, or state --delimiter and --decimal.";
    LogOptionUnmet, "log-option-unmet", Error,
        "An option names a column, a sheet or a form that the file does not have.",
        "Look at the columns named in the message and correct the option.";
    LogSeveralSheets, "log-several-sheets", Note,
        "The workbook has more than one sheet; the one with the most rows is read.",
        "Name the sheet with --sheet.";
    TableRowLength, "table-row-length", Warning,
        "A row of a table has more cells than there are names of columns. It is not used.",
        "Correct the row; a cell that holds the delimiter must be quoted.";
    // Finding drops.
    DropSpike, "drop-spike", Warning,
        "The height leaves its course faster than anything falls and comes back: a deployment bang or a slip of the sensor. These samples are not used.",
        "Nothing needs doing; vent the logger's bay or shield its port if it happens in every drop.";
    DropSensorStuck, "drop-sensor-stuck", Warning,
        "In the middle of a fall the height stands still for longer than its step and the rate allow, and then jumps to where the fall has got: the sensor hung, or the logger wrote its last value again. These samples are not used; where the release is among them, the fall counts as seen from the jump on.",
        "Nothing, if it is one drop among several; else look for a loose sensor cable, a bus that is too slow, or another column.";
    DropEndsInAir, "drop-ends-in-air", Note,
        "The recording ends, or its clock restarts, before this drop reaches the ground. The rate is taken from what is there.",
        "Let the logger run until a few seconds after landing.";
    DropStartsInAir, "drop-starts-in-air", Note,
        "The fall was already going on when it came into sight, so that its release is not known.",
        "Start the logger a few seconds before release.";
    DropNone, "drop-none", Error,
        "Nothing in the recording falls as a load under a canopy does: from rest, steadily, to rest. Hoisting, carrying about and slow lowering are no drops.",
        "Check that the right column was read and its unit; look whether the logger ran during the drops.";
    DropNotMet, "drop-not-met", Warning,
        "A time that names a drop lies in no drop that was found. What was said of that drop has no effect.",
        "Take a time from the list of drops, between release and ground.";
    // Rates and pooling.
    RateNotSteady, "rate-not-steady", Warning,
        "The drop was too short to reach a steady rate that can be told from the way there. There is a one-sided bound and no rate.",
        "Drop from higher: twice the height wanted for filling and for gaining the steady speed is a good start.";
    RateLongFall, "rate-long-fall", Note,
        "The fall crossed so much height that the rate changed with the air's density. The rate is referred to the stated density.",
        "Compare it with rates at the same density; a rate goes with one over the square root of density.";
    RateWindowByHand, "rate-window-by-hand", Note,
        "The window of this drop was given by the person. It is used as it stands, without looking for a steady stretch.",
        "Remove the window to have the steady stretch found.";
    PoolOddDrop, "pool-odd-drop", Warning,
        "The rate of this drop differs from all others by far more than gusts and its own doubt explain. It is set aside.",
        "Look at the video or notes of that drop; keep it with --keep, or set it aside for good with a reason.";
    PoolTwoGroups, "pool-two-groups", Warning,
        "The rates form two groups that no scatter between drops of one configuration explains: two configurations in one recording, perhaps.",
        "Reduce each group by itself, leaving the other out with --set-aside or --between.";
    PoolSameFall, "pool-same-fall", Warning,
        "The same fall stands in two recordings, sample by sample: a copied file, or files that overlap. It counts once.",
        "Leave one of the files out.";
    // Air and true height.
    AirImpossible, "air-impossible", Error,
        "The stated air is none that a parachute falls through. The air assumed where nothing is known is used instead.",
        "Check temperature, pressure, humidity and elevation, and their units.";
    AirPressureElevation, "air-pressure-elevation", Warning,
        "The stated pressure does not belong to the stated elevation. Pressures in weather reports are reduced to sea level, which is 3.6 % of density at 300 m.",
        "Say which kind of pressure it is, at the station or reduced to sea level, and check the elevation.";
    AirPressureKindUnknown, "air-pressure-kind-unknown", Warning,
        "It is not stated whether the pressure is the station's or reduced to sea level. It is taken for the one that the elevation makes likelier, with a larger uncertainty.",
        "Say which kind of pressure it is: weather reports give it reduced to sea level, a barometer at the site does not.";
    AirOutsideFormula, "air-outside-formula", Note,
        "The air is outside the range for which the formula of moist air was published. It is used all the same, with a larger uncertainty of 0.03 %.",
        "Nothing needs to be done, unless temperature or pressure is a slip of the pen.";
    HeightTapeDisagrees, "height-tape-disagrees", Warning,
        "The height fallen by the recording and the height measured by tape differ by more than their uncertainties allow. The logger's height scale, the day's air or the tape is off.",
        "Check the tape measure from release to ground, the air temperature, and by which scale the logger turns pressure into height.";
    HeightFallsTooFast, "height-falls-too-fast", Warning,
        "The drops gain speed by 2.5 times as much as gravity gives, or more, and noise does not explain it. The recording's heights are too long (feet read as metres make 3.3) or its clock counts too few seconds (half of them make 4). Smaller faults cannot be told from how a canopy opens, and are not looked for.",
        "Check the unit of the height column, then the unit of the time column and the logger's sampling rate; state them with --height and --time. A taped height of the drop tells scale from clock.";
    HeightFallsTooSlow, "height-falls-too-slow", Warning,
        "The drops gain speed by 0.4 times what gravity gives, or less, and neither noise nor a canopy that is open from the start explains it. The recording's heights are too short (metres read as feet make 0.3), its clock counts too many seconds (twice as many make 0.25), or the logger smooths over a second and more.",
        "Check the unit of the height column, then the unit of the time column and the logger's sampling rate; state them with --height and --time. If both are right, switch the logger's smoothing off.";
    HeightDayUnknown, "height-day-unknown", Warning,
        "The air temperature of the day is not known. A height from pressure is off by 3.5 % for each 10 K that the day is off the standard, a rate by as much, a drag area too.",
        "State the air temperature in the shade at the time of the drops, and the pressure or the elevation.";
    HeightLoggerScaleUnknown, "height-logger-scale-unknown", Note,
        "It is not known whether the logger's standard atmosphere starts at sea level or at the ground. The two differ by 0.23 % of height per 100 m of elevation.",
        "State the logger's scale, or log pressure.";
    // The project file.
    ProjectSyntax, "project-syntax", Error,
        "The project file is not valid TOML at this place, so nothing after it could be read.",
        "Mend the text there: usually a quote, a bracket or an equals sign is missing.";
    ProjectFormat, "project-format", Error,
        "The project file does not say in which format it is written, or names one that this version does not read.",
        "Write format = 1 on its first line, or read the file with a version that knows its format.";
    ProjectUnknownKey, "project-unknown-key", Error,
        "A key of the project file means nothing where it stands, so what it says is not used.",
        "Correct its spelling or move it to the table it belongs to.";
    ProjectMissingKey, "project-missing-key", Error,
        "A key without which its table means nothing is not there.",
        "Add the key; where the value is not known yet and the key allows it, write \"?\".";
    ProjectWrongType, "project-wrong-type", Error,
        "A value is of another sort than its key takes: a number for a text, a table for a list.",
        "Write it as the message says.";
    ProjectQuantity, "project-quantity", Error,
        "A quantity could not be read: its number, its unit or its doubt is missing or not understood. It counts as not known.",
        "Write it in quotes with its unit, for instance \"4.1 kg\" or \"4.1 kg ± 20 g\".";
    ProjectRange, "project-range", Error,
        "A value lies outside what is possible for its key. It counts as not known.",
        "Check its unit and its sign.";
    ProjectWord, "project-word", Error,
        "A key takes one of a few words, and this is none of them. It counts as not known.",
        "Use one of the words that the message lists.";
    ProjectTwice, "project-twice", Error,
        "Two entries bear the same name, or one thing is said twice. The first one stands.",
        "Rename or remove one of them.";
    ProjectName, "project-name", Error,
        "An entry names another that is not there, so it cannot be used.",
        "Correct the name, or add the entry it names.";
    ProjectConflict, "project-conflict", Error,
        "Two things are said that exclude each other, or one is said without the other it needs.",
        "Keep one of them, or add what is missing.";
    ProjectUnknown, "project-unknown", Error,
        "A value is marked as not known yet, and some answers wait for it.",
        "Replace \"?\" with the value and its unit.";
    ProjectFile, "project-file", Error,
        "A file that the project names could not be read.",
        "Check its name; paths start at the project folder and stay inside it.";
    ProjectTooMuch, "project-too-much", Error,
        "A file is larger than a project needs, or holds more problems than are worth listing.",
        "Split the file, or mend the first problems and look again.";
    StageOrder, "stage-order", Error,
        "A stage begins before one that stands above it, which cannot happen.",
        "Put the stages in the order in which they begin, and check their times and heights.";
    StageAboveTop, "stage-above-top", Error,
        "A stage begins at a height that the fall never passes, because it starts below it.",
        "Write begins = \"start\", or correct one of the two heights: both count from the field's ground.";
    StageCanopies, "stage-canopies", Error,
        "The canopies of a part open in one of its stages. Here they open in none, or in more than one.",
        "Write opens = \"canopies\" in just one stage; the others have a drag_area.";
    FlightBelowGround, "flight-below-ground", Error,
        "The fall starts at or below the ground. That height counts as not known.",
        "Give the height above the field's ground; elevations above sea level belong into [site].";
    FlightTableOrder, "flight-table-order", Error,
        "The rows that give the start of the fall by ground wind are not in the order of growing wind. The row out of order is not used.",
        "Put the rows in order, each wind once.";
    LandingNotWorked, "landing-not-worked", Warning,
        "Something that a landing follows from is not stated or cannot be, so that nothing is said of where the part comes down.",
        "State what the message names.";
    LandingStaysUp, "landing-stays-up", Warning,
        "In some simulated flights the air rises about as fast as the part sinks, and it does not come down within hours. They count as outside the field.",
        "Check `rising_air` and its doubt; a part that sinks so slowly belongs to no gusty or convective day.";
    LandingChances, "landing-chances", Warning,
        "The chances of a part's cases sum to more than 1. All are divided by their sum.",
        "State the chance of each case so that they sum to 1; one case may leave its chance out and takes what is left.";
    WindNotStated, "wind-not-stated", Warning,
        "A landing is asked for and the day's wind is not stated, or not where it blows from. Without a wind the fall is worked in calm, and all its drift comes from the start.",
        "State `speed` and `from` under [wind], or a table with `winds = \"winds.csv\"`.";
    WindsEndLow, "winds-end-low", Warning,
        "The winds by height end below the top of the fall. Above the last height its wind is held.",
        "Give winds up to the top of the flight, from a forecast or a sounding.";
    PadNotStated, "pad-not-stated", Warning,
        "A field is given, and not where the pad stands on the Earth, so that the field cannot be laid about it.",
        "State `latitude` and `longitude` under [site], or mark the pad as a point of kind \"pad\" in the field file.";
    ProgramFault, "program-fault", Error,
        "The program failed on this project. That is a fault of the program, not of the input: nothing is lost or half written, and no answer is given.",
        "Undo the last edit, or save and look at the key that was changed last; and tell the makers what it was.";
    // The field's edge and the places to keep out of.
    FieldSyntax, "field-syntax", Error,
        "The field file is not valid JSON at this place, so nothing of it could be read.",
        "Export it again, or mend the text there.";
    FieldNotGeojson, "field-not-geojson", Error,
        "The field file, or an entry of it, is not GeoJSON as RFC 7946 has it.",
        "Export the field as GeoJSON: a FeatureCollection of polygons.";
    FieldCoordinates, "field-coordinates", Error,
        "The field file names a system of coordinates other than longitude and latitude of WGS 84. Its numbers would be taken for degrees.",
        "Export it in longitude and latitude of WGS 84.";
    FieldNoEdge, "field-no-edge", Error,
        "No feature of the field file is the field's edge, so that nothing can be said of landing inside it.",
        "Give the polygon of the field the property kind with the value edge.";
    FieldKind, "field-kind", Error,
        "A feature of the field file does not say what it is, or by a word that means nothing here. It is not used; if it is a place to keep out of, it is not kept out of.",
        "Write the property kind as edge, keep out or pad.";
    FieldGeometry, "field-geometry", Error,
        "A feature of the field file has a geometry that cannot be what it says it is: an edge or a keep-out is an area, a pad is a point. It is not used.",
        "Draw the edge and the keep-outs as polygons, the pad as a point.";
    FieldPosition, "field-position", Error,
        "A position of the field file is not two numbers, or not a place on Earth. The polygon it belongs to is not used.",
        "Write longitude and latitude in degrees, in this order.";
    FieldSwapped, "field-swapped", Error,
        "Latitude and longitude of the field file seem to be exchanged. GeoJSON has longitude first.",
        "Exchange the two numbers of every position, or export with longitude first.";
    FieldRingCrosses, "field-ring-crosses", Error,
        "A ring of a polygon crosses or touches itself or another ring, or a hole is not where a hole can be, so that inside and outside are not told apart. The polygon is not used.",
        "Move or reorder the positions at the place named.";
    FieldRingShort, "field-ring-short", Error,
        "A ring has too few different positions to enclose an area. The polygon is not used.",
        "Give at least three corners, and the first one again at the end.";
    FieldRingOpen, "field-ring-open", Warning,
        "The last position of a ring is not its first again. The ring is closed by a straight line, which is wrong if positions are missing.",
        "Repeat the first position at the end, or add what is missing.";
    FieldPadOutside, "field-pad-outside", Warning,
        "The pad lies outside the field's edge. The answers count from there all the same.",
        "Check the position of the pad and the edge.";
    FieldPadTwice, "field-pad-twice", Error,
        "The field file has more than one pad. The first one stands.",
        "Remove all but one.";
    FieldAltitude, "field-altitude", Note,
        "Positions of the field file have an altitude, which is not used: the field is taken to be level.",
        "Nothing needs doing; the ground's elevation is stated in the project.";
    // Offers of canopies.
    OffersColumn, "offers-column", Error,
        "The offers file lacks a column that is needed, or has one that means nothing.",
        "Name its columns as the message says; units may stand in the heading or in the cells.";
    OffersColumnUnused, "offers-column-unused", Note,
        "A column of the offers file means nothing here and is not used.",
        "Leave it; or, if it should be used, give it the name that the message lists.";
    OffersCell, "offers-cell", Error,
        "A cell of the offers file could not be read. It counts as not known.",
        "Write a number with its unit, or put the unit in the heading.";
    // Winds by height.
    WindsColumn, "winds-column", Error,
        "The table of winds lacks a column of height, of where the wind blows from, or of its speed. Without all three there is no wind.",
        "Name the three columns, for instance: height above ground (m), from (°), speed (m/s).";
    WindsUnit, "winds-unit", Error,
        "The heights or speeds of a table of winds have no unit, or one that is not known. A guess could be wrong by a factor of two or three, so none is made.",
        "Write the unit into the heading or into each cell: m, ft or km; m/s, kt, km/h or mph.";
    WindsEmpty, "winds-empty", Error,
        "The table of winds has no row that can be used.",
        "Look at what was found about its rows.";
    WindsCell, "winds-cell", Warning,
        "A cell of the table of winds could not be read, or holds what no wind has: a direction outside 0 to 360 degrees, a speed below zero. The row is not used, and the wind there is read between its neighbours.",
        "Correct the cell, or remove the row.";
    WindsBlankCell, "winds-blank-cell", Note,
        "A cell of the table of winds is blank. The row is not used, and the wind there is read between its neighbours.",
        "Fill in the cell, or remove the row.";
    WindsOrder, "winds-order", Warning,
        "The rows of the table of winds go up and down. They are used in the order of their heights.",
        "Check that two tables were not joined; put the rows in the order of height.";
    WindsHeightTwice, "winds-height-twice", Warning,
        "A height stands twice in the table of winds. The first one is used.",
        "Remove the wrong row.";
    WindsHeightFrom, "winds-height-from", Note,
        "The table of winds does not say from where its heights count. They are taken as above the field's ground; if they were above sea level, every wind would stand too high by the field's elevation.",
        "Write into the heading: height above ground, or height above sea level.";
    WindsSeveralColumns, "winds-several-columns", Note,
        "More than one column of the table of winds could be meant. The first one is used.",
        "Remove or rename the others if the first one is wrong.";
    // Drag areas and full size.
    DragClusterUnusual, "drag-cluster-unusual", Warning,
        "A measured cluster factor is above 1, or its 95 % interval does not reach the range that handbooks give. The measured value is used all the same.",
        "Look at the likely causes named, and repeat the single and the cluster drops on one day with one mass.";
    DragClusterWithinDoubt, "drag-cluster-within-doubt", Note,
        "The 95 % interval of a measured cluster factor holds 1, so that the tests do not show whether the canopies take drag from one another. The measured value and its whole doubt are used.",
        "More drops of the single canopy and of the cluster, on one day with one mass, narrow it.";
    DragNotToldApart, "drag-not-told-apart", Note,
        "The tests give only a combination of two factors, not each of them.",
        "Make the test named in the hint; until then the combination is used where that is enough.";
    DragTestsDisagree, "drag-tests-disagree", Warning,
        "No single set of canopy areas, cluster factors and body areas agrees with all tests within their stated doubt.",
        "Look for a wrong mass, a wrong day's air, or a canopy that was not filled, in the test that sits worst.";
    DragBodyNegative, "drag-body-negative", Warning,
        "With the body the whole brakes less than the canopies did without it. The body's net area is taken as nothing.",
        "Check the masses of both tests and that all canopies were filled; a long body close below can spoil their flow.";
    DragNothingBrakes, "drag-nothing-brakes", Warning,
        "A test names neither a canopy nor a body whose drag counts, so that its drag area belongs to nothing. Its rate is shown and nothing is told from it.",
        "Name the canopies that were open, or say that the body was on.";
    DragModelNotUsed, "drag-model-not-used", Warning,
        "A part has tests of several models. Only the model with the most tests is carried to full size: models differ in scale and cloth, and their areas are not put together.",
        "Give the tests of the model that counts, or make the other a part of its own.";
    FullSizeNotCarried, "full-size-not-carried", Warning,
        "None of the canopies that were tested is a copy of an offer, so that what was measured of them reaches no candidate: the offers' own coefficients are taken.",
        "Say of a tested canopy which offer it is, or is a model of: copy_of under [[canopy]].";
    FullSizeNoCopy, "full-size-no-copy", Warning,
        "The areas of a model's canopies carry over only to a scale copy. Here shape, line length, vent or cloth are not stated alike at both sizes.",
        "State them for both, or give the real canopy's coefficient, or test the real canopy.";
    FullSizeDragCrisis, "full-size-drag-crisis", Warning,
        "Between the Reynolds numbers of model and full size the drag of a round body can fall to a third. The body's area may not scale.",
        "Count on less drag of the body, or test it at full size.";
    TestNoRate, "test-no-rate", Error,
        "No drop of this test has a rate, so that the test gives no drag area.",
        "Look at what was found about its recordings, or give a window for a drop by hand.";
    TestCanopiesNotWeighed, "test-canopies-not-weighed", Note,
        "The mass of the canopies of this test is not stated. It is taken to be weighed with the load; if it was not, the drag area is too small by that share.",
        "State the mass of each canopy, or canopy_mass of the test.";
    // Cases and candidates.
    ChoiceNoAnswer, "choice-no-answer", Error,
        "The canopies chosen cannot be worked: their offer has no drag area, or no cluster factor is known for so many.",
        "Look at the reason beside that candidate, or choose another.";
    ChoiceOutOfBounds, "choice-out-of-bounds", Warning,
        "The canopies chosen need more room, mass or money than the part allows. The cases are worked with them all the same.",
        "Choose another candidate, or correct room, mass_at_most or price_at_most of the part.";
    CaseNoArea, "case-no-area", Warning,
        "Nothing is known of what brakes in this case: the bare body's area, or a cluster factor for so many canopies.",
        "State the body's size, or test that many canopies together.";
    OfferReferenceNotStated, "offer-reference-not-stated", Error,
        "A drag coefficient belongs to one area and a size to one diameter; without knowing which, or how they compare, the offer cannot be worked out.",
        "Say in the offers file which area the coefficient is on and which diameter the size is, and the shape where the two differ.";
    OfferMassNotStated, "offer-mass-not-stated", Note,
        "The mass of a canopy is not stated. It counts as nothing in what descends, and cannot be compared.",
        "Weigh one and state it in the offers file.";
    OfferNotUsable, "offer-not-usable", Error,
        "A size or coefficient of an offer is not above nothing.",
        "Correct the value named.";
    OfferCoefficientUnusual, "offer-coefficient-unusual", Warning,
        "The coefficient lies outside what is remembered of that shape on that area. It is used all the same, doubted to one side.",
        "Check which area the maker's coefficient is on: projected-area coefficients are about twice the nominal ones.";
    // Packing and getting it out.
    BayItemSaysNothing, "bay-item-says-nothing", Error,
        "Something is said to lie in a bay, but neither its length, its volume nor its mass is.",
        "State its length, or diameter and length of its roll, or its volume, or its mass.";
    BayDoesNotFit, "bay-does-not-fit", Warning,
        "The canopies chosen do not fit the bay with all that lies in it.",
        "Lengthen or widen the bay, pack denser, take out something, or choose another candidate.";
    BayFitUndecided, "bay-fit-undecided", Note,
        "Whether the canopies chosen fit the bay is not sure: the packed volumes are too uncertain.",
        "Pack one, measure diameter and length of the roll, and state it as [[part.bay.roll]].";
    BayPushTooWeak, "bay-push-too-weak", Warning,
        "The gas stated does not push with the margin wanted against pins at their strongest, friction and weight.",
        "Let out more gas, use fewer or thinner pins, or lessen the friction; then test it on the ground.";
    BayOpensInClimb, "bay-opens-in-climb", Warning,
        "Pressure that is left in the bay in the climb may break its pins before anything is meant to open.",
        "Give the bay larger vent holes, of at least the diameter shown, or more or stronger pins.";
    BayPortsLag, "bay-ports-lag", Warning,
        "The barometer's room breathes so slowly that it reads several metres too low in the climb, or it cannot breathe at all.",
        "Give it larger ports, or a smaller room.";
    BayDoorHitsFins, "bay-door-hits-fins", Warning,
        "What is thrown out sideways may not clear the fins.",
        "Throw it faster, further forward of the fins, or when the air along the body is slower.";
    BayPyrotechnic, "bay-pyrotechnic", Warning,
        "A pyrotechnic source is planned. Its effect scatters widely, so that only a range is given, which is no loading instruction.",
        "Only licensed practice under local law decides. Test on the ground, fired remotely and interlocked, with nobody near.";
    // Harness, riser and devices.
    HarnessNotStated, "harness-not-stated", Warning,
        "A place that the harness cannot do without is not stated: the centre of mass, or where a leg is fastened.",
        "Measure it from the front end, along the body: balance the part on an edge for its centre of mass.";
    HarnessLegSlack, "harness-leg-slack", Warning,
        "A leg would have to push to hold the body so; it hangs slack, and the body hangs from the others.",
        "Move its point to the other side of the centre of mass, or leave the leg out.";
    HarnessMoreLegs, "harness-more-legs", Warning,
        "More legs are taut than statics can tell apart: two hold a body in a plane, three in space. How they share the load depends on their stretch and on millimetres of length, so that the tension of each is a range.",
        "Size each leg for the whole load, as one snatches first anyway; or join two of them in a sheave.";
    HarnessLegsTooShort, "harness-legs-too-short", Error,
        "The legs cannot reach one point, so that the body cannot hang in them.",
        "Lengthen the legs named, or correct their lengths and the places of their points.";
    HarnessTurnsOver, "harness-turns-over", Warning,
        "The centre of mass lies above the points of the harness, so that the body turns over until it lies below.",
        "Fasten the legs above the centre of mass, or correct mass_below_axis and around.";
    HarnessAngleMissed, "harness-angle-missed", Warning,
        "The body hangs at another angle than the one wanted.",
        "Leave out the lengths of the legs to have them worked out for the wanted angle.";
    HarnessBlownUp, "harness-blown-up", Error,
        "In that steady descent the body's own drag is more than its weight: it does not hang under its canopies.",
        "Check its mass and the drag area of the body.";
    RiggingCrowded, "rigging-crowded", Warning,
        "So many canopies side by side need a wider ring than their lines and own risers allow: they press on one another.",
        "Lengthen the risers of their own, or take fewer canopies.";
    RiggingNearBody, "rigging-near-body", Note,
        "The skirt is nearer to the body than handbooks advise, from memory: canopies fill late and brake less in a wake.",
        "Lengthen the riser, or test it at that distance.";
    BodyAreaUnlike, "body-area-unlike", Warning,
        "The body's own drag area as tested and as its shape gives it lie apart, each with its doubt.",
        "Check length, diameter and fins of the body, and the tests with and without it.";
    DeviceLoop, "device-loop", Error,
        "Devices need or fire one another in a circle, so that nothing says which comes first.",
        "Correct needs and fired_by of the devices named.";
    DeviceIdle, "device-idle", Note,
        "Nothing depends on the device: it fires nothing, opens nothing, and no other needs it.",
        "Say what it opens, or name it where it is needed.";
    DeviceTooMany, "device-too-many", Warning,
        "A part has more devices than are looked at; no failure tree is made of them.",
        "Leave out what cannot fail by itself, or put devices that always fail together in one.";
    DeviceNoCase, "device-no-case", Warning,
        "A single failure, or one shared cause, leads to something that is no case of the part, so that nobody has looked how it comes down then.",
        "Add a [[part.case]] for it, with its limit where there is one.";
    // Loads at opening.
    OpeningShareTooSmall, "opening-share-too-small", Warning,
        "A share of the load on one canopy is stated that is milder than one canopy which catches the whole mass before any other fills. That can happen, so the stated share is not used.",
        "Remove it, or state a share that makes more.";
    SnatchBreaksCord, "snatch-breaks-cord", Warning,
        "What is thrown out snatches harder than the cord is rated for: 95 of 100 snatches stay below a force that is more than its strength.",
        "Take a longer or a softer cord before a stronger one: a stiffer cord is snatched harder; or throw out less fast.";
    // The load path.
    PathStrengthNotKnown, "path-strength-not-known", Warning,
        "The rated strength of a member of the load path is not stated, or how many share its pull. What is not known never holds, so nothing is sure to hold.",
        "State the strength with its unit, as rated by its maker or found by pulling one; for lines, their number too.";
    PathLoadNotKnown, "path-load-not-known", Warning,
        "What a member of the load path is pulled with is not known, so whether it holds cannot be told.",
        "State how the fall starts and what opens in which stage, or the pull as measured with a load cell.";
    PathTooWeak, "path-too-weak", Warning,
        "A member of the load path is wanted more of than it is rated for: its strength, less what seams, wear and moisture take, does not reach the 95th percentile of its pull times the safety wanted.",
        "Take a stronger one (what would do is said), or soften the opening.";
    PathLinesShort, "path-lines-short", Warning,
        "The suspension lines are no longer than half the mouth of the canopy in flight: they cannot meet under it.",
        "Check line_length of the rig and the size of the canopy.";
    ShockTooHard, "shock-too-hard", Warning,
        "Something in the part may be shaken harder than it is said to bear.",
        "Soften the opening, or mount it so that it bears more.";
    // Sums by hand.
    SumReferenceNotStated, "sum-reference-not-stated", Warning,
        "A drag coefficient means nothing without the area it is on. The diameter given or found is that of this unknown area's circle.",
        "Say with --reference whether the coefficient is on the nominal, constructed or projected area.";
    SumReferenceWanted, "sum-reference-wanted", Error,
        "The diameter meant is stated but not the area that the coefficient is on, so nobody knows whether they belong together.",
        "Say with --reference which area the coefficient is on.";
    SumRatioWanted, "sum-ratio-wanted", Error,
        "The coefficient is on one area and the diameter of another is meant; without their ratio there is no answer.",
        "Name the shape with --shape, or give the ratio of the diameters with --ratio.";
    SumCoefficientUnusual, "sum-coefficient-unusual", Warning,
        "The coefficient lies outside what is remembered of canopies on that area. The sum is done all the same.",
        "Check which area the coefficient is on: projected-area coefficients are about twice the nominal ones.";
    SumNotPositive, "sum-not-positive", Error,
        "Mass, rate, diameter, coefficient, density, gravity and ratio are all more than nothing.",
        "Correct the value named.";
}

impl Code {
    /// The code of that name.
    pub fn by_name(name: &str) -> Option<Code> {
        Code::ALL.iter().copied().find(|code| code.name() == name)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_kebab_case_and_stand_once() {
        let mut seen = std::collections::BTreeSet::new();
        for code in Code::ALL {
            let name = code.name();
            assert!(name.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-'), "{name}");
            assert!(seen.insert(name), "{name} stands twice");
            assert_eq!(Code::by_name(name), Some(*code));
            assert!(code.means().ends_with('.') && code.cure().ends_with('.'), "{name} is not in sentences");
        }
    }
}
