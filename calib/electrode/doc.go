// Package electrode judges a pH electrode from readings in buffers.
//
// A glass electrode is a straight line between pH and potential:
//
//	E = E7 − f · S(t) · (pH − 7),   S(t) = ln 10 · R T / F
//
// S is the ideal (Nernst) slope, 59.16 mV per pH at 25 C ([IdealSlope]). Three
// figures say how it is: the slope as a percentage of the ideal one (100 f), the
// offset E7 (the potential at pH 7), and the zero point (the pH at 0 mV).
//
// [FromMV] finds them where the meter shows millivolts. [FromDisplay] finds what
// can be found where it shows pH alone: how the slope and the zero have changed
// against the calibration that the meter has stored. One buffer gives an offset,
// two a line, three a check as well. The [Result] carries figures with
// intervals, the published criteria applied ([Criteria]), the faults that the
// figures look like with what to do ([Faults], common practice), advice and
// warnings. [Result.FromMV] and [Result.FromDisplay] then read a sample; outside
// the buffers' bracket the interval widens and the prediction says so.
//
// Buffers change with temperature: use their value at the temperature of the
// reading. Points at different temperatures are brought together by S at each
// one's own, which takes the electrode's potential at pH 7 as independent of
// temperature (the usual build; common practice).
//
// Intervals rest on stated uncertainties where all are stated, else on the
// scatter of three points or more; two points with nothing stated have none.
// What several points share and is stated (a kit of buffers, one thermometer)
// counts beside the scatter. An unstated uncertainty is not zero: give
// [uncert.Unstated] for unknown and [uncert.Exact] for exact.
//
// What it leaves out: response time, alkali error above pH 12, and liquid
// junction potentials, which may differ between buffers and a sample of another
// ionic strength by some hundredths of a pH (ISO 10523:2008 limits itself to
// ionic strengths below 0.3 mol/kg).
package electrode
