package reports

import (
	"math"

	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions/plan"
)

// Recipe is a plan for a set of bottles. Masses are what the scale shows, not
// rounded to its step; the steps are.
type Recipe struct {
	Salt    string `json:"salt"`
	Grade   string `json:"grade,omitempty"`
	Purity  Number `json:"purity"`   // mass fraction of the dry matter
	UPurity Number `json:"u_purity"` // null: not given

	Batches     List[RecipeBatch] `json:"batches"`
	Stock       *RecipeStock      `json:"stock"`        // null where all salt is weighed directly
	SecondStock *RecipeStock      `json:"second_stock"` // made from the stock
	Weighings   int               `json:"weighings"`    // portions counted one by one
	MaxURel     float64           `json:"max_u_rel"`    // asked for
	WorstURel   float64           `json:"worst_u_rel"`
	// MaxUMet is null where it is met as far as one knows: left_out names
	// sources whose size nobody stated.
	MaxUMet *bool        `json:"max_u_met"`
	LeftOut List[string] `json:"left_out"`
	// Verdict is pass, fail or undecided, as max_u_met is true, false or null.
	Verdict     string       `json:"verdict"`
	Limit       string       `json:"limit,omitempty"` // where it is not met: why, and what would help
	Steps       List[string] `json:"steps"`
	Assumptions List[string] `json:"assumptions"`
	Warnings    Warnings     `json:"warnings"`

	plan plan.Recipe // for the table
}

// RecipeBatch is one bottle. The uncertainty is parted into the bottle's own
// (its weighings) and what it shares with the others (jar, stock, water,
// model): the u_ref and u_ref_shared of a calibration.
type RecipeBatch struct {
	Name          string             `json:"name"`
	Target        string             `json:"target"`
	Route         string             `json:"route"` // direct or stock
	From          string             `json:"from,omitempty"`
	SaltMgL       float64            `json:"salt_mg_L"`
	Molality      float64            `json:"molality_mol_kg"`
	SaltG         Number             `json:"salt_g"`
	StockG        Number             `json:"stock_g"`
	WaterG        Number             `json:"water_g"`
	WaterML       Number             `json:"water_mL"` // with a jug
	SaltPortions  int                `json:"salt_portions"`
	StockPortions int                `json:"stock_portions"`
	WaterPortions int                `json:"water_portions"`
	StockMgG      Number             `json:"stock_mg_g"` // pure salt in 1 g of the stock it is taken from
	SolutionG     float64            `json:"solution_g"` // true mass
	EC25          float64            `json:"ec25_uS_cm"`
	UEC25         float64            `json:"u_ec25_uS_cm"`
	UOwn          float64            `json:"u_own_uS_cm"`
	UShared       float64            `json:"u_shared_uS_cm"`
	URel          float64            `json:"u_rel"`
	Budget        List[BudgetShare]  `json:"budget"`
	LeftOut       List[string]       `json:"left_out"` // sources whose size nobody stated
	Direct        *RecipeAlternative `json:"direct"`   // what weighing the salt directly would give
	// MadeCommand says what the bottle is worth, to be typed with the masses
	// that were weighed.
	MadeCommand string `json:"made_command"`
}

// BudgetShare is a line of a budget relative to its value.
type BudgetShare struct {
	Source string  `json:"source"`
	URel   float64 `json:"u_rel"` // of the value
	Share  float64 `json:"share"` // of the variance; the shares sum to 1
}

// RecipeAlternative is a route not necessarily taken.
type RecipeAlternative struct {
	SaltG     float64 `json:"salt_g"`
	URel      float64 `json:"u_rel"`
	Weighings int     `json:"weighings"`
}

// RecipeStock is a stock: salt_g for one of salt, stock_g for one made from
// another stock.
type RecipeStock struct {
	Name          string  `json:"name"`
	From          string  `json:"from,omitempty"`
	SaltG         Number  `json:"salt_g"`
	StockG        Number  `json:"stock_g"`
	WaterG        float64 `json:"water_g"`
	SaltPortions  int     `json:"salt_portions"`
	StockPortions int     `json:"stock_portions"`
	WaterPortions int     `json:"water_portions"`
	SaltMgG       float64 `json:"salt_mg_g"` // pure salt in 1 g of stock
	USaltMgG      float64 `json:"u_salt_mg_g"`
	UsedG         float64 `json:"used_g"`
}

// NewRecipe makes the result.
func NewRecipe(r plan.Recipe) *Recipe {
	jar := r.Bench.Jar
	out := &Recipe{
		Salt: jar.Salt.Formula, Grade: jar.Grade,
		Purity: Known(jar.Purity.Nominal()), UPurity: Maybe(jar.Purity.U(), len(jar.Purity.Unstated()) == 0),
		Weighings: r.Weighings, MaxURel: r.MaxU, WorstURel: r.Worst, LeftOut: r.LeftOut, Limit: r.Limit,
		Assumptions: r.Assumptions, Warnings: r.Warnings, plan: r,
	}
	out.judge(r)
	for i, b := range r.Batches {
		batch := newRecipeBatch(b)
		batch.MadeCommand = r.MadeCommand(i)
		for _, s := range r.Stocks {
			if s.Name == b.From {
				batch.StockMgG = Known(1000 * s.Mixed.Pure.Nominal())
			}
		}
		out.Batches = append(out.Batches, batch)
	}
	for i, s := range r.Stocks {
		stock := newRecipeStock(s)
		if i == 0 {
			out.Stock = &stock
		} else {
			out.SecondStock = &stock
		}
	}
	for _, s := range r.Steps {
		text := s.Text
		if s.Command != "" {
			text += " " + s.Command
		}
		out.Steps = append(out.Steps, text)
	}
	return out
}

// judge says whether the uncertainty asked for is met.
func (r *Recipe) judge(p plan.Recipe) {
	met := p.Met
	switch {
	case !met:
		r.MaxUMet, r.Verdict = &met, "fail"
	case len(p.LeftOut) > 0:
		r.Verdict = "undecided"
	default:
		r.MaxUMet, r.Verdict = &met, "pass"
	}
}

func newRecipeBatch(b plan.Batch) RecipeBatch {
	ec := b.Worth.EC25
	out := RecipeBatch{
		Name: b.Name, Target: b.Target.Text, Route: string(b.Route), From: b.From,
		SaltMgL: b.Worth.MgL.Nominal(), Molality: b.Worth.Molality.Nominal(),
		SaltG: amount(b.SaltG), StockG: amount(b.StockG), WaterG: amount(b.WaterG), WaterML: amount(b.WaterML),
		SolutionG: b.MassG, EC25: ec.Nominal(), UEC25: ec.U(), URel: b.RelU(),
		Budget: relativeBudget(ec), LeftOut: leftOutLabels(ec),
	}
	out.UOwn, out.UShared = b.Split()
	out.SaltPortions, out.StockPortions = portions(b.SaltG), portions(b.StockG)
	out.WaterPortions = portions(b.WaterG) + portions(b.WaterML)
	if d := b.Direct; d != nil {
		out.Direct = &RecipeAlternative{SaltG: d.SaltG, URel: d.RelU, Weighings: d.Weighings}
	}
	return out
}

func newRecipeStock(s plan.StockPlan) RecipeStock {
	return RecipeStock{
		Name: s.Name, From: s.From, SaltG: amount(s.SaltG), StockG: amount(s.StockG),
		WaterG: s.WaterG.Total, WaterPortions: s.WaterG.Portions,
		SaltPortions: portions(s.SaltG), StockPortions: portions(s.StockG),
		SaltMgG: 1000 * s.Mixed.Pure.Nominal(), USaltMgG: 1000 * s.Mixed.Pure.U(), UsedG: s.UsedG,
	}
}

func amount(a *plan.Amount) Number {
	if a == nil {
		return Unknown()
	}
	return Known(a.Total)
}

func portions(a *plan.Amount) int {
	if a == nil {
		return 0
	}
	return a.Portions
}

// negligible is the relative size below which a source is rounding noise and
// not part of the budget: what cancels, such as a scale's gain, leaves some
// 1e-15.
const negligible = 1e-12

// relativeBudget lists the sources of a value relative to it.
func relativeBudget(v uncert.Value) List[BudgetShare] {
	var out List[BudgetShare]
	for _, s := range v.Budget() {
		if s.Size > negligible*math.Abs(v.Nominal()) {
			out = append(out, BudgetShare{s.Source.Label, s.Size / v.Nominal(), s.Fraction})
		}
	}
	return out
}

func leftOutLabels(v uncert.Value) List[string] {
	var out List[string]
	for _, s := range v.Unstated() {
		out = append(out, s.Label)
	}
	return out
}
