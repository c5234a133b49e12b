package main

import (
	"errors"
	"fmt"
	"math"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/series"
	"github.com/brinemark/brinemark/calib/series/watch"
	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

// probeMaker makes probes of columns, by what was asked for all of them.
type probeMaker struct {
	zone       *time.Location
	tempColumn string
	uTemp      float64
	by         tempcomp.Rule // --compensate-by; nil where it is not given
	staleAfter time.Duration // --stale-after; 0 where it is not given
}

// usualUTemp is the standard uncertainty of a logged temperature where nobody
// states one, in C (common practice, no source).
const usualUTemp = 0.5

func newProbeMaker(c *cli.Context, plan series.Plan) (probeMaker, error) {
	m := probeMaker{zone: plan.Zone, tempColumn: plan.TempColumn, uTemp: usualUTemp}
	var err error
	if m.by, _, err = last[tempcomp.Rule](c, "compensate-by"); err != nil {
		return m, err
	}
	if m.staleAfter, _, err = last[time.Duration](c, "stale-after"); err != nil {
		return m, err
	}
	q, given, err := getQuantity(c, "u-temp")
	if err != nil || !given {
		return m, err
	}
	if m.uTemp = q.Value; !(q.Value >= 0) || math.IsInf(q.Value, 0) {
		return m, usageError("--u-temp: %s is below 0", quantity.Quoted(q.Text))
	}
	return m, nil
}

// columnDone gathers what is said of a column.
type columnDone struct{ reports.CorrectionPlan }

func (d *columnDone) say(format string, args ...any) {
	d.Notes = append(d.Notes, fmt.Sprintf(format, args...))
}

// probe makes the probe of a column, whose drift may be settled already, and says what is done to it and what was
// taken as given.
func (m probeMaker) probe(p *columnPlan) (*series.Probe, reports.CorrectionPlan, error) {
	done := &columnDone{reports.CorrectionPlan{Column: p.column, Meter: p.meter, Kind: p.kind, Unit: p.unitText(), Zone: m.zone}}
	if done.Unit == "" {
		done.Unit = p.kind.Unit()
	}
	done.WrittenUnit = done.Unit
	if p.drift.from == "" {
		p.drift = p.drifting()
	}
	timeline, err := series.NewTimeline(p.calibrations, p.breaks, p.drift.Growth)
	if err != nil {
		return nil, done.CorrectionPlan, err
	}
	probe := &series.Probe{Column: p.column, Timeline: timeline, Low: p.low, High: p.high, UTemp: m.uTemp}
	m.sayLines(p, timeline, done)
	if err := m.convert(p, probe, done); err != nil {
		return nil, done.CorrectionPlan, err
	}
	m.last(p, probe, done)
	p.reading(probe, done)
	if p.kind == check.EC && !p.neverDry {
		floor := timeline.UsualFloor()
		if p.dry != nil {
			floor = timeline.InAir(*p.dry)
		}
		if probe.Conversion.Factor != 0 {
			floor *= probe.Conversion.Factor
		}
		limits := watch.UsualDryLimits(floor)
		probe.Dry = &limits
	}
	return probe, done.CorrectionPlan, nil
}

// unitText is the unit of a column's readings in words.
func (p *columnPlan) unitText() string {
	if p.scale != nil {
		return scaleText(*p.scale)
	}
	return p.unit
}

// scaleText is a scale as parseScale reads it.
func scaleText(s tempcomp.Scale) string {
	if s.Unit == tempcomp.PPMUnit {
		return fmt.Sprintf("%s@%g", s.Unit, s.Factor)
	}
	return s.Unit
}

// sayLines says what lines a column is corrected by, and what they leave open.
func (m probeMaker) sayLines(p *columnPlan, timeline *series.Timeline, done *columnDone) {
	first, last := p.calibrations[0].Time, timeline.Last()
	unknown := ""
	for _, c := range p.calibrations {
		if c.Time.Before(first) {
			first = c.Time
		}
		if unknown == "" && math.IsNaN(c.Line.VarSlope) {
			unknown = c.Name
		}
	}
	done.Calibrations, done.FirstCalibration, done.LastCalibration = len(p.calibrations), first, last
	of := ""
	if p.meter != "" {
		of = " of " + p.meter
	}
	if len(p.calibrations) == 1 {
		done.say("corrected by one calibration%s, %s", of, m.day(first))
	} else {
		done.say("corrected by %d calibrations%s, %s to %s", len(p.calibrations), of, m.day(first), m.day(last))
	}
	if unknown != "" {
		done.say("the calibration %s states no uncertainty, so %s%s is empty where it counts", unknown, p.column, series.UncertaintyEnding)
	}
	// Where double the standard uncertainty covers less than 90 %.
	const fewDoF = 5
	if p.dof > 0 && p.dof <= fewDoF {
		done.say("an uncertainty rests on the scatter of few points (%d degrees of freedom): twice %s%s covers less than 95 %%", p.dof, p.column, series.UncertaintyEnding)
	}
	for _, gap := range timeline.Gaps() {
		from := time.Unix(0, gap.From).In(m.zone).Format(timeLayout)
		if gap.To == series.Ever {
			done.say("no calibration applies from %s on: the meter was adjusted or its electrode replaced then, and not calibrated since", from)
		} else {
			done.say("no calibration applies from %s to %s, after an adjustment or replacement", from, time.Unix(0, gap.To).In(m.zone).Format(timeLayout))
		}
	}
}

// timeLayout is a time for people.
const timeLayout = "2006-01-02 15:04"

func (m probeMaker) day(t time.Time) string { return t.In(m.zone).Format(time.DateOnly) }

// convert settles unit and compensation of the corrected values.
func (m probeMaker) convert(p *columnPlan, probe *series.Probe, done *columnDone) error {
	if p.kind != check.EC && (p.wanted != nil || p.scale != nil || p.does != nil) {
		what := string(p.kind)
		if what == "" {
			what = "no known quantity, as its files have no key quantity"
		}
		return fmt.Errorf("it is of %s; --display, --unit and --compensation are for conductivity", what)
	}
	if p.wanted != nil {
		if p.scale == nil {
			scale, err := tempcomp.ParseScale(p.unit, 0)
			if err != nil {
				return errors.New("to write it in another unit, say what the meter shows with --display COLUMN=UNIT: uS/cm, mS/cm or one such as ppm@0.5")
			}
			p.scale = &scale
			done.Unit = scaleText(scale)
		}
		if *p.wanted != *p.scale {
			probe.Conversion.Factor = p.wanted.Factor / p.scale.Factor
			done.WrittenUnit = scaleText(*p.wanted)
			done.say("written in %s, where the meter shows %s", done.WrittenUnit, done.Unit)
		}
	}
	if p.kind != check.EC {
		return nil
	}
	_, uncompensated := p.does.(tempcomp.None)
	wanted := m.by
	if wanted == nil && uncompensated {
		wanted = tempcomp.Linear{Alpha: series.UsualAlpha, RefTempC: tempcomp.NaturalWaterRefTempC}
	}
	switch {
	case p.does == nil && m.by != nil:
		return fmt.Errorf("--compensate-by needs to know what the meter does itself: --compensation %s=RULE", p.column)
	case p.does == nil && m.tempColumn != "":
		done.say("nothing says that the meter leaves temperature uncorrected, so --temp does not change it; see --compensation")
	case p.does == nil:
	case uncompensated && wanted == p.does:
		done.Compensation = ruleText(p.does)
		done.say("not compensated, neither by the meter nor here: values are those of the liquid's own temperature")
	case wanted == nil || wanted == p.does:
		done.Compensation = ruleText(p.does)
		done.say("compensated by the meter itself (%s), and left so", done.Compensation)
	case m.tempColumn == "":
		return fmt.Errorf("the meter does %s, and its values are wanted by %s: name the column of the temperature with --temp (--compensate-by none leaves them as they are)", ruleText(p.does), ruleText(wanted))
	default:
		probe.Conversion.Does, probe.Conversion.Wanted = p.does, wanted
		done.Compensation = ruleText(wanted)
		done.say("the meter does %s; brought to %s by %s, u %g C", ruleText(p.does), ruleText(wanted), m.tempColumn, m.uTemp)
	}
	return nil
}

func ruleText(r tempcomp.Rule) string {
	if s, ok := r.(fmt.Stringer); ok {
		return s.String()
	}
	return r.Name()
}

// last settles how long the last calibration holds.
func (m probeMaker) last(p *columnPlan, probe *series.Probe, done *columnDone) {
	why := "as given"
	if probe.StaleAfter = m.staleAfter; m.staleAfter == 0 {
		probe.StaleAfter, why = p.lasting()
	}
	done.DriftPer30d, done.WalkPerRoot30d, done.DriftRelative = p.drift.Rate, p.drift.Walk, p.drift.Relative
	done.StaleFrom = probe.Timeline.Last().Add(probe.StaleAfter)
	done.say("after the last calibration it may drift %s (%s)", driftText(p.drift.Growth), p.drift.from)
	done.say("stale from %s on (%s)", m.day(done.StaleFrom), why)
}

// reading settles the uncertainty of one reading.
func (p *columnPlan) reading(probe *series.Probe, done *columnDone) {
	if p.uRead != nil {
		probe.URead = *p.uRead
		return
	}
	if p.resolution != nil {
		probe.URead = *p.resolution / (2 * math.Sqrt(3)) // a rectangle one step wide, JCGM 100:2008, F.2.2.1
	}
	for _, c := range p.checks {
		for _, r := range c.Readings {
			if r.UReading != nil {
				probe.URead = max(probe.URead, *r.UReading)
			}
		}
	}
	if probe.URead == 0 {
		done.say("nothing is known of the uncertainty of one reading, so it is left out of %s%s; see --u-reading", p.column, series.UncertaintyEnding)
	}
}
