package main

import (
	"maps"
	"slices"
	"strconv"
	"time"

	"github.com/brinemark/brinemark/cmd/brinemark/scenario"
	"github.com/brinemark/brinemark/reports"
)

const demoAbout = `An invented winter
==================

A shelf of lettuce over a washing machine. Two conductivity pens disagree by
about an eighth, the pH pen has grown slow, and the probe in the tub, whose
readings are logged, drifts. The person has a jar of table salt, a pocket scale
that reads 0.01 g up to 200 g, and demineralised water.

Everything here is invented: the masses are made up, the meters are given faults
(they stand in the program's source, package scenario) and what they "show"
follows from both. No real meter and no real person is behind it. What the
commands say of it is computed, by the same code as for you.

index.html tells what came of it: open it in a browser.

`

// The files that commands of the story make.
const (
	oldPenChartFile  = "old-pen.svg"
	compareChartFile = "both-pens.svg"
	driftChartFile   = "tub-probe-drift.svg"
	correctChartFile = "tub-log.svg"
	calendarFile     = "checks.ics"
	correctedFile    = "tub-log-corrected.csv"
	eventsFile       = "tub-events.csv"
	dailyFile        = "tub-daily.csv"
	headerFile       = "tub_probe.h"
	labelsFile       = "labels.html"
	sheetFile        = "bench-sheet.html"
	sheetTable       = "bench-sheet.csv"
	recordFile       = "record.html"
)

// demoStory is the winter in order.
func demoStory(bottles []scenario.Bottle) []demoChapter {
	return []demoChapter{
		{"Bottles from table salt", demoBottles(bottles)},
		{"The meters, and what they should show", demoMeters()},
		{"The first check", demoFirstCheck()},
		{"Two pens disagree: which, and why?", demoComparison()},
		{"A new electrode for the pH pen", demoElectrode()},
		{"The probe in the tub, every other week", demoProbe(bottles)},
		{"How it drifts, and when to check again", demoDrift()},
		{"The log of the tub, put right", demoLog()},
		{"The record", demoKeeping()},
	}
}

// onRecord adds the demonstration's own record to a command.
func onRecord(command ...string) []string {
	return append(slices.Clone(command), "--logbook", demoRecord)
}

// withChart has a step draw its chart into a file.
func withChart(file, about string, step demoStep) demoStep {
	step.command = append(step.command, "--plot", file)
	step.makes = append(step.makes, reports.DemoFile{Name: file, About: about})
	return step
}

func demoBottles(bottles []scenario.Bottle) []demoStep {
	water := []string{"--water-ec", with(scenario.WaterEC, "uS/cm"), "--u-water-ec", with(scenario.UWaterEC, "uS/cm")}
	setup := append([]string{"--salt", "NaCl", "--grade", "food",
		"--purity", with(scenario.PurityPercent, "%"), "--u-purity", with(scenario.UPurityPercent, "%"),
		"--scale-step", with(scenario.ScaleStepG, "g"), "--u-scale", with(scenario.UWeighingG, "g"), "--scale-max", with(scenario.ScaleMaxG, "g")}, water...)
	recipe := append([]string{"recipe"}, setup...)
	for _, mgL := range scenario.TargetsMgL {
		recipe = append(recipe, "--target", with(mgL, "mg/L"))
	}
	steps := []demoStep{{
		name: "recipe", clock: scenario.Made,
		why:     "Three references from table salt and a pocket scale: what to weigh, and how well they are then known.",
		command: append(recipe, "--batch", with(scenario.BatchML, "mL"), "--max-u", with(scenario.MaxUPercent, "%")),
	}}
	for i, b := range bottles {
		why := "Bottle " + b.Name + ", from the same stock:"
		if i == 0 {
			why = "Nobody hits the target mass, and nobody has to. Bottle " + b.Name + " as it was weighed, and, full and closed, weighed once more on a kitchen scale. It goes on record, which begins with it:"
		}
		made := append([]string{"recipe", "made"}, setup...)
		made = appendMasses(made, "--stock-salt-mass", b.Stock.SaltG)
		made = appendMasses(made, "--stock-water-mass", b.Stock.WaterG)
		made = appendMasses(made, "--stock-mass", b.StockG)
		made = appendMasses(made, "--water-mass", b.WaterG)
		step := demoStep{
			name: "bottle-" + b.Name, clock: scenario.Made, why: why,
			command: onRecord(append(made, "--made-mass", grams(b.FullG, 1), "--empty-mass", grams(b.EmptyG, 1), "--u-bottle-mass", with(scenario.UBottleG, "g"),
				"--save", b.Name, "--stock", "stock 1", "--made", scenario.Made.Format(time.DateOnly))...),
		}
		if i == 0 {
			step.makes = []reports.DemoFile{{Name: demoRecord, About: "the record of this demonstration: bottles, meters, readings, events"}}
		}
		steps = append(steps, step)
	}
	steps = append(steps, demoStep{
		name: "labels", clock: scenario.Made, why: "Labels for them, to print and stick on:",
		command: onRecord(append(append([]string{"label"}, scenario.Names...), "--out", labelsFile)...),
		makes:   []reports.DemoFile{{Name: labelsFile, About: "labels for the bottles, to print"}},
	})
	for _, name := range slices.Sorted(maps.Keys(scenario.Buffers)) {
		steps = append(steps, demoStep{
			name: name, clock: scenario.Made, why: "A bought pH buffer, opened today:",
			command: onRecord("bottle", "add", name, "--buffer", scenario.Buffers[name], "--made", scenario.Made.Format(time.DateOnly)),
		})
	}
	return steps
}

func demoMeters() []demoStep {
	add := func(name, why string, flags ...string) demoStep {
		return demoStep{name: "meter-" + name, clock: scenario.Made, why: why, command: onRecord(append([]string{"meter", "add", name}, flags...)...)}
	}
	pen := []string{"--quantity", "ec", "--unit", "ppm", "--ppm-factor", with(scenario.PPMFactor, ""), "--alpha", with(scenario.AlphaPercent, "%"), "--resolution", "1", "--tolerance", scenario.Tolerance}
	steps := []demoStep{
		add(scenario.OldPen.Name, "The pens show ppm (factor 0.5), corrected by 2 % per degree, and are wanted within 5 %:", pen...),
		add(scenario.NewPen.Name, "The new pen is of the same kind:", pen...),
		add(scenario.Probe.Name, "The probe in the tub shows µS/cm and corrects for nothing; the log has the water's temperature beside it:",
			"--quantity", "ec", "--unit", "uS/cm", "--compensation", "none", "--resolution", "1", "--range", "0..5000", "--tolerance", scenario.Tolerance),
		add(scenario.PHPen, "The pH pen:", "--quantity", "ph", "--resolution", "0.01", "--tolerance", scenario.PHTolerance),
	}
	for _, m := range []scenario.Meter{scenario.OldPen, scenario.Probe} {
		why := "What should a pen show in bottle B at " + with(scenario.BenchTempC, "C") + "?"
		if m.Name == scenario.Probe.Name {
			why = "And the probe, which corrects for nothing?"
		}
		steps = append(steps, demoStep{
			name: "should-show-" + m.Name, clock: scenario.Made, why: why,
			command: onRecord("bottle", "show", "B", "--meter", m.Name, "--temp", with(scenario.BenchTempC, "C"), "--u-temp", with(scenario.UBenchTempC, "C")),
		})
	}
	sheet := []string{"sheet"}
	for _, name := range scenario.Names {
		sheet = append(sheet, "--bottle", name)
	}
	for _, m := range []scenario.Meter{scenario.OldPen, scenario.NewPen, scenario.Probe} {
		sheet = append(sheet, "--meter", m.Name)
	}
	return append(steps, demoStep{
		name: "sheet", clock: scenario.Made, why: "A blank sheet for the bench, for the pen, and the table to type it into:",
		command: onRecord(append(sheet, "--temp", with(scenario.BenchTempC, "C"), "--out", sheetFile, "--csv", sheetTable)...),
		makes: []reports.DemoFile{
			{Name: sheetFile, About: "a blank bench sheet, to print and fill in"},
			{Name: sheetTable, About: "the empty table for its readings"},
		},
	})
}

// benchHour is how long the bottles are out: commands are typed after it.
const benchHour = time.Hour

// probeCheck is the step of a check of the probe.
func probeCheck(day int) string {
	return "calibrate-probe-" + scenario.Checks[day].Format(time.DateOnly)
}

// calibrateStep is a check of a meter that goes on record.
func calibrateStep(name, why string, clock time.Time, file, meter string, flags ...string) demoStep {
	command := append([]string{"calibrate", file, "--meter", meter, "--u-temp", with(scenario.UBenchTempC, "C")}, flags...)
	return demoStep{name: name, why: why, clock: clock.Add(benchHour), command: onRecord(append(command, "--save")...)}
}

func demoFirstCheck() []demoStep {
	return []demoStep{
		withChart(oldPenChartFile, "the calibration of the old pen, as a picture", calibrateStep("calibrate-old-pen", "The old pen in the three bottles: is it within 5 %, and what line puts it right? The table names bottle and temperature; what it should show comes from the record.",
			scenario.Made, scenario.OldPenFile, scenario.OldPen.Name, "--at", "450")),
		calibrateStep("calibrate-new-pen", "The new pen in the same bottles:", scenario.Made, scenario.NewPenFile, scenario.NewPen.Name),
		calibrateStep(probeCheck(0), "The probe in the same bottles:", scenario.Made, scenario.CheckFile(0), scenario.Probe.Name),
		calibrateStep("calibrate-ph-pen", "The pH pen in two buffers, with its millivolts: the electrode has aged.", scenario.Made, scenario.PHPenFile, scenario.PHPen),
		{
			name: "two-readings", clock: scenario.Made.Add(benchHour), why: "By the way: two readings need no file, and no record.",
			command: []string{"calibrate", "--point", "1413=1290", "--point", "447=410", "--tolerance", scenario.Tolerance, "--at", "1100"},
		},
	}
}

func demoComparison() []demoStep {
	compare := func(name, why string, clock time.Time, file string) demoStep {
		return demoStep{name: name, why: why, clock: clock.Add(benchHour), command: onRecord("compare", file, "--u-temp", with(scenario.UBenchTempC, "C"), "--save")}
	}
	cleaned := scenario.Cleaned.Format(time.RFC3339)
	return []demoStep{
		compare("compare", "The two pens side by side: by how much do they disagree, is it real, and why?", scenario.Made, scenario.BothFile),
		withChart(compareChartFile, "the two pens compared, as a picture",
			compare("compare-cold-warm", "Bottle C was read cold and warm with both, as advised. Now it is clear:", scenario.Again, scenario.ColdWarmFile)),
		{
			name: "event-cleaned", clock: scenario.Cleaned, why: "So the old pen is cleaned, and trimmed:",
			command: onRecord("event", "add", scenario.OldPen.Name, "cleaned", "--time", cleaned, "--note", "film on the electrodes"),
		},
		calibrateStep("calibrate-old-pen-cleaned", "The old pen after that, as left:", scenario.Cleaned, scenario.CleanedFile, scenario.OldPen.Name,
			"--state", "as-left", "--note", "cleaned and trimmed"),
	}
}

func demoElectrode() []demoStep {
	return []demoStep{
		{
			name: "event-replaced", clock: scenario.Replaced, why: "Cleaning did not help; the electrode is replaced, and the pen calibrates itself in both buffers:",
			command: onRecord("event", "add", scenario.PHPen, "replaced", "--time", scenario.Replaced.Format(time.RFC3339), "--note", "new electrode"),
		},
		calibrateStep("calibrate-ph-pen-new", "It is read in them again, as left:", scenario.Replaced, scenario.NewElectrodeFile, scenario.PHPen, "--state", "as-left"),
	}
}

func demoProbe(bottles []scenario.Bottle) []demoStep {
	var steps []demoStep
	for day, when := range scenario.Checks {
		why := "Two weeks later:"
		if day == 0 {
			continue // on the first bench day, with the pens
		}
		if when.Equal(scenario.Adjusted) {
			for i, b := range bottles {
				why := "Before they are used again, the bottles are weighed: what is missing is water, and what is left is stronger."
				if i > 0 {
					why = "Bottle " + b.Name + ":"
				}
				steps = append(steps, demoStep{
					name: "weigh-" + b.Name, clock: scenario.WeighedAgain, why: why,
					command: onRecord("bottle", "weigh", b.Name, "--mass", grams(b.AgainG, 1), "--time", scenario.WeighedAgain.Format(time.RFC3339)),
				})
			}
			steps = append(steps, demoStep{
				name: "event-adjusted", clock: scenario.Adjusted, why: "The probe is read, cleaned and trimmed, and read again:",
				command: onRecord("event", "add", scenario.Probe.Name, "adjusted", "--time", scenario.Adjusted.Format(time.RFC3339), "--note", "cleaned and trimmed"),
			})
			why = "Its readings before and after stand in one table, as found and as left:"
		}
		steps = append(steps, calibrateStep(probeCheck(day), why, when, scenario.CheckFile(day), scenario.Probe.Name))
	}
	return steps
}

func demoDrift() []demoStep {
	today := scenario.Today.Format(time.DateOnly)
	return []demoStep{
		withChart(driftChartFile, "the drift of the probe, as a picture", demoStep{
			name: "drift", clock: scenario.Today, why: "How fast does the probe drift, and until when can it be believed?",
			command: onRecord("drift", "--meter", scenario.Probe.Name, "--now", today, "--time-zone", "UTC"),
		}),
		{
			name: "drift-all", clock: scenario.Today, why: "All meters, the most urgent first, and their next checks for a calendar:",
			command: onRecord("drift", "--all", "--now", today, "--calendar", calendarFile, "--time-zone", "UTC"),
			makes:   []reports.DemoFile{{Name: calendarFile, About: "the next checks, for a calendar"}},
		},
	}
}

func demoLog() []demoStep {
	return []demoStep{
		withChart(correctChartFile, "the log of the tub, as it was read and put right, as a picture", demoStep{
			name: "correct", clock: scenario.Today,
			why: "Four weeks of the tub, with the adjustment in the middle: every row is put right by the calibrations of its time, brought to 25 C by the water's temperature, and flagged where it must not be believed.",
			command: onRecord("correct", scenario.TubFile, "--meter", "ec="+scenario.Probe.Name, "--temp", "water_C", "--out", correctedFile,
				"--events", eventsFile, "--daily", dailyFile, "--time-zone", "UTC"),
			makes: []reports.DemoFile{
				{Name: correctedFile, About: "the same rows, with the corrected value, its uncertainty and a flag"},
				{Name: eventsFile, About: "what happened to the tub: found in the log"},
				{Name: dailyFile, About: "each day's least, median and highest value"},
			},
		}),
		{
			name: "constants", clock: scenario.Today, why: "The line by which the probe is corrected today, for use elsewhere:",
			command: onRecord("constants", scenario.Probe.Name, "--at", scenario.Today.Format(time.RFC3339), "--time-zone", "UTC"),
		},
		{
			name: "constants-c", clock: scenario.Today, why: "The same as a header for a microcontroller:",
			command: onRecord("constants", scenario.Probe.Name, "--at", scenario.Today.Format(time.RFC3339), "--format", "c", "--out", headerFile, "--time-zone", "UTC"),
			makes:   []reports.DemoFile{{Name: headerFile, About: "the calibration of the probe, in C"}},
		},
	}
}

func demoKeeping() []demoStep {
	pages := []reports.DemoFile{{Name: recordFile, About: "an index of the record, with a page for each meter"}}
	for _, name := range []string{scenario.NewPen.Name, scenario.OldPen.Name, scenario.PHPen, scenario.Probe.Name} {
		pages = append(pages, reports.DemoFile{Name: "meter-" + name + ".html", About: "all that is known of " + name})
	}
	return []demoStep{
		{
			name: "report", clock: scenario.Today, why: "All that is on record, as pages to read and to print:",
			command: onRecord("report", "--all", "--out", recordFile, "--now", scenario.Today.Format(time.DateOnly), "--time-zone", "UTC"),
			makes:   pages,
		},
		{
			name: "meter-history", clock: scenario.Today, why: "What the record knows of the probe:",
			command: onRecord("meter", "show", scenario.Probe.Name),
		},
		{
			name: "logbook-check", clock: scenario.Today, why: "Is the record sound?",
			command: onRecord("logbook", "check"),
		},
	}
}

// with writes a number as a person types it, with its unit.
func with(x float64, unit string) string {
	return strconv.FormatFloat(x, 'f', -1, 64) + unit
}

// grams writes a mass as a scale shows it.
func grams(x float64, decimals int) string { return strconv.FormatFloat(x, 'f', decimals, 64) + "g" }

func appendMasses(args []string, flag string, massesG []float64) []string {
	for _, m := range massesG {
		args = append(args, flag, grams(m, 2))
	}
	return args
}
