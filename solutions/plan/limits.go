package plan

import (
	"fmt"
	"math"
	"slices"
	"strconv"
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
	kindWaterIons:  "purer water, or a better figure for it",
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
	lead := "the lowest reachable (or within 3 % of it, for fewer weighings) is"
	if rec.Route == Direct {
		lead = "weighing directly gives"
	}
	reached, asked := apart(100*worst.RelU(), 100*rec.MaxU)
	text := fmt.Sprintf("%s %s %% in %s (asked for: %s %%)", lead, reached, worst.Name, asked)
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
	if name, salt := s.leastSalt(); salt < s.scale.StepG {
		remedy := fmt.Sprintf("and no stock within the rules does, which weigh nothing below %s g (%s steps of the scale); want", figure(s.least), figure(s.rules.steps))
		if s.stockWouldDo() {
			remedy = "but a stock does: want --route stock or auto,"
		}
		return fmt.Errorf("%w: scale: the %s g of salt in %s is less than its step of %s g, %s a finer scale, a larger bottle or a stronger target",
			ErrNoPlan, figure(salt), name, figure(s.scale.StepG), remedy)
	}
	return fmt.Errorf("%w: scale: no portioning of up to %d portions beside a container of %s g makes these bottles on a scale of %s g; want a smaller batch, a lighter container or a larger scale",
		ErrNoPlan, s.rules.portions, figure(s.scale.ContainerG), figure(s.scale.CapacityG))
}

// leastSalt is the bottle with the least salt, and that salt as the scale shows
// it, in g.
func (s *search) leastSalt() (name string, saltG float64) {
	saltG = math.Inf(1)
	for i, t := range s.tasks {
		if salt := t.pureG / s.pureShare / s.saltFactor; salt < saltG {
			name, saltG = fmt.Sprintf("bottle %d", i+1), salt
		}
	}
	return name, saltG
}

// stockWouldDo tells whether the bottles can be made at all where the route was
// to be direct.
func (s *search) stockWouldDo() bool {
	if s.route != Direct {
		return false
	}
	other := *s
	other.route = Auto
	_, ok := other.lowest()
	return ok
}

// apart prints two numbers to two significant digits, or to as many as tell them
// apart.
func apart(x, y float64) (string, string) {
	a, b := "", ""
	for n := 2; n <= 8 && a == b; n++ {
		a, b = strconv.FormatFloat(roundTo(x, n), 'f', -1, 64), strconv.FormatFloat(roundTo(y, n), 'f', -1, 64)
	}
	return a, b
}

// figure2 prints a number to two significant digits.
func figure2(x float64) string { return figure(roundTo(x, 2)) }
