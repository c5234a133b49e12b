package reports

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"github.com/brinemark/brinemark/reports/page"
)

// bottles are the references, with what they rest on.
func (b *pageBuilder) bottles(r *Report) {
	b.section("References and traceability", "7.8.4.1 c")
	if len(r.Bottles) == 0 {
		b.add(page.Text{Text: "No bottle on record was used."})
	} else {
		b.add(worthTable(r.Bottles))
		b.add(sourceTables(r.Bottles)...)
		b.add(datesTable(r.Bottles))
	}
	b.texts(r.Traceability)
}

// worthTable tells what bottles are worth, one version a row.
func worthTable(list []ReportBottle) page.Table {
	t := page.Table{Caption: "Bottles used and what they are worth at 25 C (± is k = 1)", Columns: []page.Column{
		{Name: "bottle"}, {Name: "content"}, {Name: "truly has", Number: true}, {Name: "this meter should show", Number: true}}}
	for _, u := range list {
		display := unknown
		if x, ok := u.Display.Get(); ok {
			display = PlusMinus(x, u.UDisplay, wordOrEmpty(u.Unit))
		}
		t.Row(page.Name(u.ID), page.Name(u.what()), u.worth(), display)
	}
	return t
}

// datesTable tells when bottles were made and used; versions with the same days
// share a row.
func datesTable(list []ReportBottle) page.Table {
	t := page.Table{Caption: "When they were made and used", Columns: []page.Column{
		{Name: "bottle"}, {Name: "made", Whole: true}, {Name: "good until", Whole: true}, {Name: "first used", Whole: true}, {Name: "last used", Whole: true}, {Name: "readings", Number: true}}}
	var names [][]string
	for _, u := range list {
		cells := page.Cells(orUnknown(u.MadeOn), orUnknown(u.BestBefore), u.First, u.Last, fmt.Sprint(u.Readings))
		if u.Past {
			cells[3] = page.Cell{Text: u.Last + " (past its date)", Mark: page.Overdue}
		}
		at := slices.IndexFunc(t.Rows, func(row []page.Cell) bool { return slices.Equal(row[1:], cells) })
		if at < 0 {
			at = len(t.Rows)
			t.Rows, names = append(t.Rows, append([]page.Cell{{}}, cells...)), append(names, nil)
		}
		names[at] = append(names[at], page.Name(u.ID))
	}
	several := false
	for i := range t.Rows {
		t.Rows[i][0].Text = strings.Join(names[i], ", ")
		several = several || len(names[i]) > 1
	}
	if several {
		t.Columns[5].Name = "readings of each"
	}
	return t
}

// mostBottlesWide is how many bottles stand side by side in a table of where their
// uncertainty comes from.
const mostBottlesWide = 6

// budgetColumn is a budget with the versions of bottles it holds for.
type budgetColumn struct {
	bottles []string
	part    map[string]string // by source, % of the value
	worth   map[string]float64
}

// sourceTables tell where the uncertainty of bottles comes from: a source in each
// row, a bottle in each column, one column for those that are the same.
func sourceTables(list []ReportBottle) (tables []page.Block) {
	var columns []budgetColumn
	for _, u := range list {
		c := newBudgetColumn(u)
		same := func(other budgetColumn) bool { return maps.Equal(other.part, c.part) }
		if at := slices.IndexFunc(columns, same); at >= 0 {
			columns[at].bottles = append(columns[at].bottles, page.Name(u.ID))
			continue
		}
		columns = append(columns, c)
	}
	for group := range slices.Chunk(columns, mostBottlesWide) {
		tables = append(tables, sourceTable(group))
	}
	return tables
}

// newBudgetColumn takes parts that share their words together: two weighings of a
// bottle are as uncertain as the root of their sum of squares.
func newBudgetColumn(u ReportBottle) budgetColumn {
	c := budgetColumn{bottles: []string{page.Name(u.ID)}, part: map[string]string{}, worth: map[string]float64{}}
	for _, s := range u.Budget {
		c.worth[s.Source] = math.Hypot(c.worth[s.Source], s.URel)
	}
	for source, size := range c.worth {
		c.part[source] = Significant(100*size, 2)
	}
	return c
}

func sourceTable(columns []budgetColumn) page.Table {
	t := page.Table{Caption: "Where their uncertainty comes from (standard uncertainty, % of the value at 25 C)", Columns: []page.Column{{Name: "source"}}}
	worth := map[string]float64{} // the largest of the columns
	for _, c := range columns {
		t.Columns = append(t.Columns, page.Column{Name: strings.Join(c.bottles, ", "), Number: true})
		for source, size := range c.worth {
			worth[source] = max(worth[source], size)
		}
	}
	for _, source := range largestFirst(worth) {
		row := page.Cells(page.Name(source))
		for _, c := range columns {
			row = append(row, page.Cell{Text: c.part[source]})
		}
		t.Rows = append(t.Rows, row)
	}
	if len(t.Rows) == 0 {
		row := page.Cells("nobody stated any")
		t.Rows = append(t.Rows, append(row, make([]page.Cell, len(columns))...))
	}
	return t
}

// largestFirst orders the sources, those of one size by their names.
func largestFirst(size map[string]float64) []string {
	return slices.SortedFunc(maps.Keys(size), func(a, b string) int {
		return cmp.Or(cmp.Compare(size[b], size[a]), cmp.Compare(a, b))
	})
}

func orUnknown(text *string) string {
	if text == nil {
		return unknown
	}
	return *text
}
