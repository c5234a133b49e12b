package reports

import (
	"fmt"
	"io"
	"slices"
	"strings"
)

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
	if err := r.writeSteps(w, s); err != nil {
		return err
	}
	return writeList(w, s, "Taken as given", "- ", r.Assumptions)
}

func (r *Recipe) headline() string {
	reached, asked := Percent(r.WorstURel, 2), Percent(r.MaxURel, 2)
	for digits := 3; r.Verdict == "fail" && reached == asked && digits < 9; digits++ {
		reached, asked = Percent(r.WorstURel, digits), Percent(r.MaxURel, digits)
	}
	met := "NOT met"
	switch r.Verdict {
	case "pass":
		met = "met"
	case "undecided":
		met = "met, leaving out what nobody stated: " + strings.Join(r.LeftOut, ", ")
	}
	if r.plan.MaxUAssumed {
		asked += " (default)"
	}
	return fmt.Sprintf("%s: %s, %s; u at worst %s, asked for %s: %s",
		r.Salt, count(len(r.Batches), "bottle"), count(r.Weighings, "weighing"), reached, asked, met)
}

// writeSteps lists the steps, a command to be typed on lines of its own that
// can be copied in one piece.
func (r *Recipe) writeSteps(w io.Writer, s Style) error {
	if err := Heading(w, s, "Steps"); err != nil {
		return err
	}
	for i, step := range r.plan.Steps {
		if err := Paragraph(w, s, fmt.Sprintf("%d. ", i+1), step.Text); err != nil {
			return err
		}
		if step.Command == "" {
			continue
		}
		if _, err := io.WriteString(w, inShell(step.Command, s.width())); err != nil {
			return err
		}
	}
	return nil
}

// inShell breaks a command before its flags, as a shell lets it.
func inShell(command string, width int) string {
	const indent = "    "
	var lines []string
	line := indent
	for i, part := range strings.Split(command, " --") {
		if i > 0 {
			part = "--" + part
		}
		if line != indent && len(line)+len(part)+len(" \\") >= width {
			lines, line = append(lines, strings.TrimRight(line, " ")+" \\\n"), indent+indent
		}
		line += part + " "
	}
	return strings.Join(lines, "") + strings.TrimRight(line, " ") + "\n"
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
		t.Row(st.Name, from, inPortions(r.grams(taken), st.SaltPortions+st.StockPortions), inPortions(r.grams(Known(st.WaterG)), st.WaterPortions), holds, u, Significant(st.UsedG, 3))
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
		poured := "-" // a stock as it is
		if b.WaterPortions > 0 {
			poured = r.grams(b.WaterG)
		}
		if ml, known := b.WaterML.Get(); known {
			poured = Significant(ml, 4)
		}
		direct := "-"
		if b.Direct != nil {
			direct = Significant(100*b.Direct.URel, 2)
		}
		ec, u := Round(b.EC25, Known(b.UEC25))
		t.Row(b.Target, from, inPortions(r.grams(taken), b.SaltPortions+b.StockPortions), inPortions(poured, b.WaterPortions), ec, u, Significant(100*b.URel, 2), direct)
	}
	return t.Write(w, s)
}

// grams writes a mass as the scale shows it.
func (r *Recipe) grams(n Number) string {
	g, known := n.Get()
	if !known {
		return "-"
	}
	return r.plan.Bench.Scale.Format(g)
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
