package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/brinemark/brinemark/calib/uncert"
)

// remedies says what would lower the share of each kind of source.
var remedies = map[kind]string{
	kindWeighing:   "a finer scale or a larger batch",
	kindLinearity:  "a straighter scale or a larger batch",
	kindPurity:     "a purer salt, with a certificate",
	kindImpurities: "a purer salt, with a certificate",
	kindMoisture:   "drying the salt",
	kindWaterEC:    "purer water, or a better figure for it",
	kindWaterIons:  "purer water",
	kindWaterTemp:  "weighing the water instead of pouring it",
	kindJug:        "weighing the water instead of pouring it",
	kindFilling:    "weighing the water instead of pouring it",
	kindGain:       "weighing the water on the same scale as the salt",
	kindAir:        "nothing at the bench",
	kindModel:      "nothing at the bench: it is the conductivity model's own",
}

// limit says which sources keep the worst bottle above the uncertainty asked
// for, and what would help.
func (rec *Recipe) limit() string {
	worst := rec.Batches[0]
	for _, b := range rec.Batches {
		if b.RelU() > worst.RelU() {
			worst = b
		}
	}
	lead := "the lowest reachable"
	if rec.Route == Direct {
		lead = "weighing directly gives"
	}
	text := fmt.Sprintf("%s %s %% in %s (asked for: %s %%)", lead, figure2(100*worst.RelU()), worst.Name, figure2(100*rec.MaxU))
	var causes, help []string
	covered := 0.0
	for _, share := range worst.Worth.EC25.Budget() {
		causes = append(causes, fmt.Sprintf("%s (%.0f %% of the variance)", share.Source.Label, 100*share.Fraction))
		if r := remedies[kindOf(share.Source)]; r != "" && !slices.Contains(help, r) {
			help = append(help, r)
		}
		covered += share.Fraction
		if covered > 0.8 || len(causes) == 3 {
			break
		}
	}
	if rec.Route == Direct {
		help = append(help, "a stock (route auto)")
	}
	text += "; limited by " + strings.Join(causes, ", ") + "; what would help: " + strings.Join(help, "; ")
	if floor := withoutWeighing(worst.Worth.EC25); floor > rec.MaxU {
		text += fmt.Sprintf("; a perfect scale alone would still leave %s %%", figure2(100*floor))
	}
	return text
}

// withoutWeighing is the relative standard uncertainty that would be left if
// every weighing were perfect.
func withoutWeighing(v uncert.Value) float64 {
	sum := 0.0
	for _, share := range v.Budget() {
		switch kindOf(share.Source) {
		case kindWeighing, kindLinearity, kindGain:
		default:
			sum += share.Size * share.Size
		}
	}
	return math.Sqrt(sum) / v.Nominal()
}

// gatherRemarks collects what the parts of the bench have to say, and what
// follows from the plan.
func (rec *Recipe) gatherRemarks() {
	b := rec.Bench
	rec.Assumptions = slices.Concat(b.Jar.Assumptions, b.Scale.Assumptions, b.Scale.RoomAssumptions, b.Water.Assumptions)
	rec.Warnings = slices.Concat(b.Jar.Warnings, b.Scale.Warnings, b.Water.Warnings)
	if b.Jug != nil {
		rec.Assumptions = append(rec.Assumptions, b.Jug.Assumptions...)
		rec.Warnings = append(rec.Warnings, "the water is measured by volume: the scale would be better, since the error of a jug is shared by all bottles and does not average out")
		if len(b.Water.TempC.Unstated()) > 0 {
			rec.Warnings = append(rec.Warnings, "the uncertainty of the water's temperature was not given: it is unknown, not zero, and counts where water is measured by volume (0.02 % per C at 20 C)")
		}
	}
	for _, batch := range rec.Batches {
		if batch.SaltG == nil {
			continue
		}
		steps := batch.SaltG.Total / b.Scale.StepG
		if steps < LeastSteps {
			rec.Warnings = append(rec.Warnings, fmt.Sprintf("%s (%s): %s g of salt is only %s steps of the scale, fewer than %d: a stock or a larger batch is better",
				batch.Name, batch.Target.Text, figure(batch.SaltG.Total), figure2(steps), LeastSteps))
		}
	}
	if !rec.Met {
		rec.Warnings = append(rec.Warnings, rec.Limit)
	}
}

// noPlan says why no plan exists.
func (s *search) noPlan() error {
	room := s.scale.room()
	for _, t := range s.tasks {
		water := t.waterG / s.waterFactor
		if n := s.scale.portions(water); s.jug == nil && n > s.rules.portions {
			return fmt.Errorf("%w: scale: %s g of water is %d portions of the %s g that fit beside a container of %s g on a scale of %s g, more than %d; want a smaller batch, a lighter container, a larger scale or a jug",
				ErrNoPlan, figure(water), n, figure(room), figure(s.scale.ContainerG), figure(s.scale.CapacityG), s.rules.portions)
		}
		if s.jug != nil {
			if n := s.jug.fillings(t.waterG / s.waterGPerML); n > s.rules.portions {
				return fmt.Errorf("%w: jug: the water of one bottle is %d fillings of %s mL, more than %d; want a smaller batch or a larger jug",
					ErrNoPlan, n, figure(s.jug.SizeML), s.rules.portions)
			}
		}
	}
	if s.route == Stock {
		return fmt.Errorf("%w: route stock: no stock up to %s mL and %s mol/kg makes these bottles with at least %s g (%s steps of the scale) in every weighing; want weaker or larger bottles, a finer scale, or the route direct",
			ErrNoPlan, figure(s.stockML), figure(s.rules.stockMolality), figure(s.least), figure(s.rules.steps))
	}
	for _, t := range s.tasks {
		if salt := t.pureG / s.pureShare / s.saltFactor; salt < s.scale.StepG {
			return fmt.Errorf("%w: scale: the %s g of salt in one bottle is less than its step of %s g, and no stock helps; want a finer scale, larger bottles or stronger targets",
				ErrNoPlan, figure(salt), figure(s.scale.StepG))
		}
	}
	return fmt.Errorf("%w: scale: no portioning of up to %d portions beside a container of %s g makes these bottles on a scale of %s g; want a smaller batch, a lighter container or a larger scale",
		ErrNoPlan, s.rules.portions, figure(s.scale.ContainerG), figure(s.scale.CapacityG))
}

// figure2 prints a number to two significant digits.
func figure2(x float64) string { return figure(roundTo(x, 2)) }
