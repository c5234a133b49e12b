// Package reports shows results: as tables for people and as JSON for
// programs.
//
// Every command's result exists first as a plain struct of this package, with
// JSON tags whose names end in the unit (ec25_uS_cm, temp_C), no rounding, no
// colour and no width. A function beside it fills it from the structs of the
// calib and solutions packages; its Table method is the rendering for people.
// One file holds one command's result.
//
// The parts all of them share are here:
//
//	Result                 what a command hands to the renderer
//	Number, List           unknown and "none", kept apart from zero in JSON
//	Style, Table, Fields   the look of a table
//	Round, PlusMinus       two significant digits of the uncertainty
//	WriteJSON              one object, no NaN, no escaped "<" and "&"
//
// Rounding follows the Guide to the Expression of Uncertainty in Measurement
// (JCGM 100:2008, GUM), 7.2.6, and happens only in tables. JSON numbers are
// never rounded. Every uncertainty is a standard one (k = 1) unless its label
// says otherwise.
package reports
