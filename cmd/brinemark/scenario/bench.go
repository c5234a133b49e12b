package scenario

import (
	"fmt"

	"math/rand/v2"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/solutions"
	"github.com/brinemark/brinemark/solutions/plan"
)

// What the person owns. The percentages of the salt are what a good table salt
// promises (common practice, no source).
const (
	PurityPercent, UPurityPercent = 99.5, 0.3
	ScaleStepG, ScaleMaxG         = 0.01, 200.0
	UWeighingG                    = 0.01
	KitchenStepG, UBottleG        = 0.1, 0.1 // of the kitchen scale, which takes a full bottle
	EmptyBottleG                  = 53.2
	WaterEC, UWaterEC             = 8.0, 2.0 // uS/cm at 25 C
	BatchML                       = 500.0
	MaxUPercent                   = 1.0
	UBenchTempC                   = 0.2
)

// TargetsMgL are the strengths asked for, in mg of salt per litre.
var TargetsMgL = []float64{300, 600, 900}

// Names are the names of the bottles, in the order of the targets.
var Names = []string{"A", "B", "C"}

// Bottle is one reference: what was weighed into it, as the scale showed it,
// and what it is therefore worth.
type Bottle struct {
	Name  string
	Stock plan.Weighed // the stock behind it
	plan.Weighed
	Made   plan.Made
	EmptyG float64 // with its cap
	FullG  float64 // closed, on the kitchen scale, on [Made]
	AgainG float64 // the same on [WeighedAgain]
}

// Bottles plans the three references as recipe does and weighs them with the
// small misses of a human hand.
func Bottles() ([]Bottle, error) {
	bench, err := newBench()
	if err != nil {
		return nil, err
	}
	req := plan.Request{
		Bench: bench, MaxU: MaxUPercent / 100, Route: plan.Auto,
		Batch: quantity.Quantity{Value: BatchML, Kind: quantity.Volume},
	}
	for _, mgL := range TargetsMgL {
		req.Targets = append(req.Targets, quantity.Quantity{Value: mgL, Kind: quantity.MassConcentration})
	}
	recipe, err := plan.Make(req)
	if err != nil {
		return nil, err
	}
	if len(recipe.Stocks) != 1 {
		return nil, fmt.Errorf("the story is about one stock; the plan has %d", len(recipe.Stocks))
	}
	hand := rand.New(rand.NewPCG(5, 20))
	stock := plan.Weighed{SaltG: weigh(hand, recipe.Stocks[0].SaltG, 0.02), WaterG: weigh(hand, &recipe.Stocks[0].WaterG, 0.4)}
	var out []Bottle
	for i, batch := range recipe.Batches {
		if batch.StockG == nil {
			return nil, fmt.Errorf("the story is about bottles from a stock; bottle %s is not", Names[i])
		}
		b := Bottle{Name: Names[i], Stock: stock, Weighed: plan.Weighed{
			StockG: weigh(hand, batch.StockG, 0.1), WaterG: weigh(hand, batch.WaterG, 0.8),
		}}
		b.Made, err = plan.AsMade(plan.MadeRequest{Bench: bench, Name: "bottle " + b.Name, Stocks: []plan.Weighed{stock}, Bottle: b.Weighed})
		if err != nil {
			return nil, fmt.Errorf("bottle %s: %w", b.Name, err)
		}
		b.EmptyG = round(EmptyBottleG+0.4*hand.NormFloat64(), KitchenStepG)
		full := b.EmptyG + b.contentG()
		b.FullG = round(full+0.04*hand.NormFloat64(), KitchenStepG)
		b.AgainG = round(full-b.contentG()*evaporated(WeighedAgain)+0.04*hand.NormFloat64(), KitchenStepG)
		out = append(out, b)
	}
	return out, nil
}

// contentG is what was filled in.
func (b Bottle) contentG() float64 {
	var sum float64
	for _, portions := range [][]float64{b.StockG, b.WaterG} {
		for _, m := range portions {
			sum += m
		}
	}
	return sum
}

func newBench() (plan.Bench, error) {
	purity, uPurity := PurityPercent/100, UPurityPercent/100
	jar, err := plan.NewJar(solutions.NaCl, plan.JarSpec{Grade: plan.GradeFood, Purity: &purity, UPurity: &uPurity})
	if err != nil {
		return plan.Bench{}, err
	}
	step, most, u := ScaleStepG, ScaleMaxG, UWeighingG
	scale, err := plan.NewScale(plan.ScaleSpec{StepG: &step, CapacityG: &most, UG: &u})
	if err != nil {
		return plan.Bench{}, err
	}
	ec, uEC := WaterEC, UWaterEC
	water, err := plan.NewWater(plan.WaterSpec{EC25: &ec, UEC25: &uEC})
	return plan.Bench{Jar: jar, Scale: scale, Water: water}, err
}

// weigh is what the scale showed when a planned amount was weighed by hand, in
// its portions, each missed by about the size given.
func weigh(hand *rand.Rand, planned *plan.Amount, missG float64) []float64 {
	out := make([]float64, planned.Portions)
	for i := range out {
		out[i] = round(planned.Total/float64(planned.Portions)+missG*hand.NormFloat64(), ScaleStepG)
	}
	return out
}
