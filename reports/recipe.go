package reports

import (
	"fmt"
	"io"
	"slices"

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
	MaxUMet     bool              `json:"max_u_met"`
	Limit       string            `json:"limit,omitempty"` // where it is not met: why, and what would help
	Steps       List[string]      `json:"steps"`
	Assumptions List[string]      `json:"assumptions"`
	Warnings    Warnings          `json:"warnings"`
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
	WaterPortions int                `json:"water_portions"`
	SolutionG     float64            `json:"solution_g"` // true mass
	EC25          float64            `json:"ec25_uS_cm"`
	UEC25         float64            `json:"u_ec25_uS_cm"`
	UOwn          float64            `json:"u_own_uS_cm"`
	UShared       float64            `json:"u_shared_uS_cm"`
	URel          float64            `json:"u_rel"`
	Budget        List[BudgetShare]  `json:"budget"`
	LeftOut       List[string]       `json:"left_out"` // sources whose size nobody stated
	Direct        *RecipeAlternative `json:"direct"`   // what weighing the salt directly would give
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
		Weighings: r.Weighings, MaxURel: r.MaxU, WorstURel: r.Worst, MaxUMet: r.Met, Limit: r.Limit,
		Assumptions: r.Assumptions, Warnings: r.Warnings,
	}
	for _, b := range r.Batches {
		out.Batches = append(out.Batches, newRecipeBatch(b))
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
		out.Steps = append(out.Steps, s.Text)
	}
	return out
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
	for _, a := range []*plan.Amount{b.WaterG, b.WaterML} {
		if a != nil {
			out.WaterPortions = a.Portions
		}
	}
	if d := b.Direct; d != nil {
		out.Direct = &RecipeAlternative{SaltG: d.SaltG, URel: d.RelU, Weighings: d.Weighings}
	}
	return out
}

func newRecipeStock(s plan.StockPlan) RecipeStock {
	return RecipeStock{
		Name: s.Name, From: s.From, SaltG: amount(s.SaltG), StockG: amount(s.StockG),
		WaterG: s.WaterG.Total, WaterPortions: s.WaterG.Portions,
		SaltMgG: 1000 * s.Mixed.Pure.Nominal(), USaltMgG: 1000 * s.Mixed.Pure.U(), UsedG: s.UsedG,
	}
}

func amount(a *plan.Amount) Number {
	if a == nil {
		return Unknown()
	}
	return Known(a.Total)
}

// negligible is the share of variance below which a source is rounding noise
// and not part of the budget: what cancels, such as a scale's gain, leaves some
// 1e-30.
const negligible = 1e-20

// relativeBudget lists the sources of a value relative to it.
func relativeBudget(v uncert.Value) List[BudgetShare] {
	var out List[BudgetShare]
	for _, s := range v.Budget() {
		if s.Fraction > negligible {
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

// WarningList gives the warnings.
func (r *Recipe) WarningList() []string { return r.Warnings }

// Table writes the recipe for people: the bottles, the stock, where the
// uncertainty comes from, and the steps.
func (r *Recipe) Table(w io.Writer, s Style) error {
	if err := Paragraph(w, s, "", s.Bold(r.headline())); err != nil {
		return err
	}
	for _, write := range []func(io.Writer, Style) error{r.writeStocks, r.writeBatches, r.writeBudget} {
		if err := write(w, s); err != nil {
			return err
		}
	}
	if err := writeList(w, s, "Steps", "", r.Steps); err != nil {
		return err
	}
	return writeList(w, s, "Taken as given", "- ", r.Assumptions)
}

func (r *Recipe) headline() string {
	met := "met"
	if !r.MaxUMet {
		met = "NOT met"
	}
	return fmt.Sprintf("%s: %s, %s; u at worst %s, asked for %s: %s",
		r.Salt, count(len(r.Batches), "bottle"), count(r.Weighings, "weighing"), Percent(r.WorstURel, 2), Percent(r.MaxURel, 2), met)
}

func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

func (r *Recipe) writeStocks(w io.Writer, s Style) error {
	if r.Stock == nil {
		return nil
	}
	if err := Heading(w, s, "Stock, weighed once and used for the bottles below"); err != nil {
		return err
	}
	t := NewTable(Column{Name: "stock", Text: true}, Column{Name: "made from", Text: true}, Column{Name: "of it", Unit: "g"},
		Column{Name: "water", Unit: "g"}, Column{Name: "holds", Unit: "mg/g"}, Column{Name: "u", Unit: "mg/g"}, Column{Name: "used", Unit: "g"})
	for _, st := range []*RecipeStock{r.Stock, r.SecondStock} {
		if st == nil {
			continue
		}
		from, taken := r.Salt, st.SaltG
		if st.From != "" {
			from, taken = st.From, st.StockG
		}
		holds, u := Round(st.SaltMgG, Known(st.USaltMgG))
		t.Row(st.Name, from, grams(taken), inPortions(grams(Known(st.WaterG)), st.WaterPortions), holds, u, Significant(st.UsedG, 3))
	}
	return t.Write(w, s)
}

func (r *Recipe) writeBatches(w io.Writer, s Style) error {
	if err := Heading(w, s, "Bottles (u is one standard uncertainty)"); err != nil {
		return err
	}
	water, unit := "water", "g"
	if len(r.Batches) > 0 && r.Batches[0].WaterML.IsKnown() {
		unit = "mL"
	}
	t := NewTable(Column{Name: "target"}, Column{Name: "from", Text: true}, Column{Name: "of it", Unit: "g"}, Column{Name: water, Unit: unit},
		Column{Name: "EC at 25 C", Unit: "uS/cm"}, Column{Name: "u", Unit: "uS/cm"}, Column{Name: "u", Unit: "%"}, Column{Name: "u if direct", Unit: "%"})
	for _, b := range r.Batches {
		from, taken := r.Salt, b.SaltG
		if b.From != "" {
			from, taken = b.From, b.StockG
		}
		poured := b.WaterG
		if b.WaterML.IsKnown() {
			poured = b.WaterML
		}
		direct := "-"
		if b.Direct != nil {
			direct = Significant(100*b.Direct.URel, 2)
		}
		ec, u := Round(b.EC25, Known(b.UEC25))
		t.Row(b.Target, from, grams(taken), inPortions(grams(poured), b.WaterPortions), ec, u, Significant(100*b.URel, 2), direct)
	}
	return t.Write(w, s)
}

// grams writes a mass to a hundredth of a gram, or finer where it is small.
func grams(n Number) string {
	g, known := n.Get()
	if !known {
		return "-"
	}
	if g < 10 {
		return fmt.Sprintf("%.4f", g)
	}
	return fmt.Sprintf("%.2f", g)
}

func inPortions(text string, portions int) string {
	if portions > 1 {
		return fmt.Sprintf("%s in %d", text, portions)
	}
	return text
}

// mostBudgets is how many bottles fit side by side in one budget.
const mostBudgets = 4

func (r *Recipe) writeBudget(w io.Writer, s Style) error {
	shown := r.Batches
	title := "Where the uncertainty comes from (% of the conductivity)"
	if len(shown) > mostBudgets {
		worst := shown[0]
		for _, b := range shown {
			if b.URel > worst.URel {
				worst = b
			}
		}
		shown = List[RecipeBatch]{worst}
		title += ", the worst bottle"
	}
	if err := Heading(w, s, title); err != nil {
		return err
	}
	budgets := make([]List[BudgetShare], len(shown))
	columns := []Column{{Name: "source", Text: true}}
	for i, b := range shown {
		budgets[i] = b.Budget
		columns = append(columns, Column{Name: b.Target})
	}
	return writeBudgets(w, s, columns, budgets, shown[0].LeftOut)
}

// writeBudgets sets the budgets of several values side by side, in the order of
// the first. Sources below a thousandth of a percent are left to the JSON.
func writeBudgets(w io.Writer, s Style, columns []Column, budgets []List[BudgetShare], leftOut []string) error {
	const least = 5e-6
	t := NewTable(columns...)
	seen := map[string]bool{}
	for _, lead := range budgets {
		for _, line := range lead {
			if seen[line.Source] || line.URel < least {
				continue
			}
			seen[line.Source] = true
			row := []string{line.Source}
			for _, b := range budgets {
				row = append(row, shareOf(b, line.Source))
			}
			t.Row(row...)
		}
	}
	for _, source := range leftOut {
		t.Row(append([]string{source}, slices.Repeat([]string{"unknown"}, len(budgets))...)...)
	}
	return t.Write(w, s)
}

func shareOf(b List[BudgetShare], source string) string {
	for _, line := range b {
		if line.Source == source {
			return fmt.Sprintf("%.3f", 100*line.URel)
		}
	}
	return "-"
}
