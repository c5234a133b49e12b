package plan

import (
	"fmt"
	"math"
	"strings"
)

// Step is one thing to do at the bench.
type Step struct {
	// Text says what to do, with masses rounded to the scale's step.
	Text string
	// TargetG is the mass to be weighed in this step as the scale shows it,
	// and LowG to HighG the readings for which the printed value of the bottle
	// stands: those that move it by a quarter of its standard uncertainty at
	// most. All are 0 in a step without a weighing.
	TargetG, LowG, HighG float64
	// Enter tells that the scale shows no such reading: whatever it shows has
	// to be entered. LowG and HighG are then 0.
	Enter bool
	// Command is to be typed in this step, or empty.
	Command string
}

// toleranceShare is the part of a bottle's uncertainty by which one mass may
// miss its target unrecorded. Three or four such misses together stay below
// half of it.
const toleranceShare = 0.25

// steps writes the plan out, in order.
func (rec *Recipe) steps() []Step {
	var out []Step
	say := func(text string, values ...any) { out = append(out, Step{Text: fmt.Sprintf(text, values...)}) }
	say("Label every bottle before it is filled: what is in it, how strong, the date, and \"reference solution, not for drinking or dosing\". Never use a drink bottle. Keep salt, stock and references away from children and out of the tub.")
	if rec.Bench.Jar.Dried {
		say("%s", dryingText(rec.Bench.Jar))
	}
	say("Let the water, the salt and the switched-on scale stand in one room until they are at its temperature (about %s C). Keep mains leads, chargers and pumps away from the wet bench.", figure(rec.Bench.Water.TempC.Nominal()))
	say("%s", rec.weighingText())
	for i := range rec.Stocks {
		out = append(out, rec.stockSteps(&rec.Stocks[i])...)
	}
	for i := range rec.Batches {
		out = append(out, rec.batchSteps(&rec.Batches[i])...)
	}
	shown := rec.exampleBottle()
	say("If you overshoot, keep it and enter what you weighed, one flag for each weighing. The same holds for a mass outside its limits above: no salt goes back into the jar, and no bottle is thrown away for it. For %s, with your masses in place of these (--save NAME keeps it on record):", rec.Batches[shown].Name)
	out[len(out)-1].Command = rec.MadeCommand(shown)
	say("Close the bottles and keep them cool and dark. Weigh each full closed bottle now (on any scale that takes it, a kitchen scale will do) and write the mass on it: weighed again later on the same scale, it tells what has evaporated, and so its strength that day (1 %% of mass lost is about 1 %% of strength gained). Pour out what a check needs, and never pour it back.")
	return out
}

func dryingText(j Jar) string {
	text := fmt.Sprintf("Dry the %s: spread it flat in an oven at 110 C for 2 hours (a kitchen oven at 120 to 150 C for 1 to 2 hours serves), then let it cool in a closed dry jar (common laboratory practice).", j.Salt.Formula)
	if j.Salt.Formula == "NaCl" {
		text += " Salt that crackles when hot has water inside its crystals."
	}
	return text + " Caution: hot dish. Without drying, salt from an open jar holds about 0.1 % water, damp salt several percent, and the bottles are weaker by as much: then give the moisture and its uncertainty instead."
}

func (rec *Recipe) stockSteps(p *StockPlan) []Step {
	relU := math.Inf(1)
	for _, b := range rec.Batches {
		if b.From == p.Name || rec.feeds(p.Name, b.From) {
			relU = math.Min(relU, b.RelU())
		}
	}
	what, taken := rec.Bench.Jar.Salt.Formula, p.SaltG
	if p.From != "" {
		what, taken = p.From, p.StockG
	}
	steps := []Step{
		rec.weigh(fmt.Sprintf("%s: ", upper(p.Name)), what, *taken, relU, "into a clean, dry, empty bottle of its own"),
		rec.weigh(fmt.Sprintf("%s: ", upper(p.Name)), "water", p.WaterG, relU, "into the same bottle"),
	}
	return append(steps, Step{Text: fmt.Sprintf("%s: close it and shake until every grain is dissolved and no streaks are left. It holds %s mg of %s in each gram. Caution: a strong stock is not for drinking, and not for the tub.",
		upper(p.Name), figure(1000*p.Mixed.Pure.Nominal()), rec.Bench.Jar.Salt.Formula)})
}

// feeds tells whether a bottle from the stock named last depends on name.
func (rec *Recipe) feeds(name, last string) bool {
	for _, p := range rec.Stocks {
		if p.Name == last {
			return p.From == name
		}
	}
	return false
}

func (rec *Recipe) batchSteps(b *Batch) []Step {
	lead := fmt.Sprintf("%s (%s): ", upper(b.Name), b.Target.Text)
	what, taken := rec.Bench.Jar.Salt.Formula, b.SaltG
	if b.From != "" {
		what, taken = b.From, b.StockG
	}
	steps := []Step{rec.weigh(lead, what, *taken, b.RelU(), "into the clean, dry, empty bottle")}
	switch {
	case b.WaterML != nil:
		steps = append(steps, Step{Text: fmt.Sprintf("%smeasure %s mL of water in %s, read at eye level at the lowest point of the surface, and pour it into the same bottle.",
			lead, figure(b.WaterML.Total), fillings(b.WaterML.Portions))})
	case b.WaterG.Portions > 0:
		steps = append(steps, rec.weigh(lead, "water", *b.WaterG, b.RelU(), "into the same bottle"))
	}
	return append(steps, Step{Text: fmt.Sprintf("%sclose it and turn it over twenty times.", lead)})
}

// weigh writes one weighing with its limits.
func (rec *Recipe) weigh(lead, what string, a Amount, relU float64, where string) Step {
	s := rec.Bench.Scale
	st := Step{TargetG: s.round(a.Total)}
	st.LowG, st.HighG = s.readings(a.Total, toleranceShare*relU*a.Total)
	text := fmt.Sprintf("%sweigh %s g of %s %s", lead, s.Format(a.Total), what, where)
	inAll := ""
	if a.Portions > 1 {
		text += fmt.Sprintf(", in %d portions of %s g", a.Portions, s.Format(a.Total/float64(a.Portions)))
		inAll = " in all"
	}
	switch {
	case st.LowG > st.HighG:
		st.LowG, st.HighG, st.Enter = 0, 0, true
		text += fmt.Sprintf(" (%s g%s would be right: as near as the scale shows, and enter it with recipe made)", figure(roundTo(a.Total, 5)), inAll)
	case s.round(st.LowG) == s.round(st.HighG):
		text += " (any other reading" + inAll + ": enter it with recipe made)"
	default:
		text += fmt.Sprintf(" (%s to %s g%s)", s.Format(st.LowG), s.Format(st.HighG), inAll)
	}
	st.Text = text + "."
	return st
}

// readings are the lowest and the highest the scale shows within so many grams
// of a mass; the lowest is above the highest where it shows none.
func (s Scale) readings(massG, within float64) (low, high float64) {
	return roundTo(math.Ceil((massG-within)/s.StepG-1e-9)*s.StepG, 12), roundTo(math.Floor((massG+within)/s.StepG+1e-9)*s.StepG, 12)
}

func fillings(n int) string {
	if n == 1 {
		return "one filling of the jug"
	}
	return fmt.Sprintf("%d equal fillings of the jug", n)
}

// weighingText says once how to weigh; the steps then only name the masses.
func (rec *Recipe) weighingText() string {
	text := "How to weigh: tip salt, or stock, from a dry dish or cup into the bottle and weigh the dish before and after; the difference is what went in."
	if len(rec.Stocks) == 0 && rec.Batches[0].WaterG == nil {
		return text
	}
	return text + fmt.Sprintf(" Water, in one portion or several: wet a light cup (at most %s g), tip it out, set the scale to zero with it, fill, read, pour it in, and so on; the sum of what the scale showed is what went in.", figure(rec.Bench.Scale.ContainerG))
}

// exampleBottle is the last bottle of a stock, or else the first one.
func (rec *Recipe) exampleBottle() int {
	shown := 0
	for i, b := range rec.Batches {
		if b.Route == Stock {
			shown = i
		}
	}
	return shown
}

// MadeCommand is the command that says what bottle i of the recipe is worth, with
// the masses of the plan and what the request said of salt, scale and water.
func (rec *Recipe) MadeCommand(i int) string {
	b := rec.Batches[i]
	parts := append([]string{"brinemark recipe made --salt", rec.Bench.Jar.Salt.Formula}, rec.Flags...)
	mass := func(flag string, a *Amount) {
		if a == nil {
			return
		}
		for _, g := range a.shares() {
			parts = append(parts, flag, rec.Bench.Scale.Format(g)+"g")
		}
	}
	for i := range rec.Stocks {
		p := &rec.Stocks[i]
		switch {
		case b.Route == Direct:
		case p.From == "":
			mass("--stock-salt-mass", p.SaltG)
			mass("--stock-water-mass", &p.WaterG)
		case b.From == p.Name:
			mass("--second-stock-mass", p.StockG)
			mass("--second-water-mass", &p.WaterG)
		}
	}
	mass("--stock-mass", b.StockG)
	mass("--salt-mass", b.SaltG)
	mass("--water-mass", b.WaterG)
	if b.WaterML != nil {
		for _, ml := range b.WaterML.shares() {
			parts = append(parts, "--water-volume", figure(ml)+"mL")
		}
	}
	return strings.Join(parts, " ")
}

func upper(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
