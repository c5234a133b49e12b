package reports

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/solutions/plan"
)

// RecipeMade is what a bottle is worth whose masses were weighed. The values are
// today's: as it was made, or after evaporation where it was weighed again.
type RecipeMade struct {
	Salt      string            `json:"salt"`
	Route     string            `json:"route"` // direct or stock
	MgL       float64           `json:"salt_mg_L"`
	UMgL      float64           `json:"u_salt_mg_L"`
	Molality  float64           `json:"molality_mol_kg"`
	UMolality float64           `json:"u_molality_mol_kg"`
	EC25      float64           `json:"ec25_uS_cm"`
	UEC25     float64           `json:"u_ec25_uS_cm"`
	UOwn      float64           `json:"u_own_uS_cm"`
	UShared   float64           `json:"u_shared_uS_cm"`
	URel      float64           `json:"u_rel"`
	Low       float64           `json:"low_uS_cm"` // 95 %
	High      float64           `json:"high_uS_cm"`
	SolutionG float64           `json:"solution_g"` // true mass when made
	Budget    List[BudgetShare] `json:"budget"`
	LeftOut   List[string]      `json:"left_out"`
	Stocks    List[MadeStock]   `json:"stocks"`
	// Evaporation is null where the bottle was not weighed again.
	Evaporation *Evaporation `json:"evaporation"`
	Assumptions List[string] `json:"assumptions"`
	// ID is the bottle's on record; it and what follows are null where it is
	// not kept.
	ID         *string  `json:"id"`
	MadeOn     *string  `json:"made_on"`
	BestBefore *string  `json:"best_before"`
	RecordedAt *string  `json:"recorded_at"`
	Warnings   Warnings `json:"warnings"`
}

// MadeStock is a stock as it was made.
type MadeStock struct {
	// ID is what the record knows it by; null where the bottle is not kept.
	ID       *string `json:"id"`
	Name     string  `json:"name"`
	MassG    float64 `json:"mass_g"` // true mass
	SaltMgG  float64 `json:"salt_mg_g"`
	USaltMgG float64 `json:"u_salt_mg_g"`
}

// Evaporation is what a bottle has lost and what that made of it.
type Evaporation struct {
	LostG        float64 `json:"lost_g"` // water, true mass
	ULostG       float64 `json:"u_lost_g"`
	LostRel      float64 `json:"lost_rel"` // of the content when made
	ULostRel     float64 `json:"u_lost_rel"`
	StrengthGain float64 `json:"strength_gain"` // molality now over molality when made
	UGain        float64 `json:"u_strength_gain"`
	EC25AsMade   float64 `json:"ec25_as_made_uS_cm"`
	UEC25AsMade  float64 `json:"u_ec25_as_made_uS_cm"`
}

// NewRecipeMade makes the result.
func NewRecipeMade(m plan.Made) *RecipeMade {
	ec := m.Now.EC25
	interval := ec.Expanded(0.95)
	out := &RecipeMade{
		Salt: m.Bench.Jar.Salt.Formula, Route: string(m.Route),
		MgL: m.Now.MgL.Nominal(), UMgL: m.Now.MgL.U(),
		Molality: m.Now.Molality.Nominal(), UMolality: m.Now.Molality.U(),
		EC25: ec.Nominal(), UEC25: ec.U(), URel: ec.RelU(), Low: interval.Low, High: interval.High,
		SolutionG: m.Mixed.MassG.Nominal(),
		Budget:    relativeBudget(ec), LeftOut: leftOutLabels(ec),
		Assumptions: m.Assumptions, Warnings: m.Warnings,
	}
	out.UOwn, out.UShared = m.Split()
	for _, s := range m.Stocks {
		out.Stocks = append(out.Stocks, MadeStock{nil, s.Name, s.MassG.Nominal(), 1000 * s.Pure.Nominal(), 1000 * s.Pure.U()})
	}
	if l := m.Loss; l != nil {
		out.Evaporation = &Evaporation{
			LostG: l.MassG.Nominal(), ULostG: l.MassG.U(), LostRel: l.Fraction.Nominal(), ULostRel: l.Fraction.U(),
			StrengthGain: l.Gain.Nominal(), UGain: l.Gain.U(),
			EC25AsMade: m.Fresh.EC25.Nominal(), UEC25AsMade: m.Fresh.EC25.U(),
		}
	}
	return out
}

// Keepsake names the stocks as the record knows them, and returns the result as
// JSON, which is kept with the bottle.
func (r *RecipeMade) Keepsake(m plan.Made) (json.RawMessage, error) {
	for i, s := range m.Stocks {
		_, id, _ := strings.Cut(s.Owner, ":")
		r.Stocks[i].ID = &id
	}
	return marshal(r)
}

// OnRecord completes the result of a bottle that was put on record.
func (r *RecipeMade) OnRecord(b logbook.Bottle, warnings []string) {
	e := newBottleEntry(b)
	r.ID, r.MadeOn, r.BestBefore, r.RecordedAt = &e.ID, e.MadeOn, e.BestBefore, &e.RecordedAt
	r.Warnings = append(r.Warnings, warnings...)
}

// WarningList gives the warnings.
func (r *RecipeMade) WarningList() []string { return r.Warnings }

// Table writes the bottle for people.
func (r *RecipeMade) Table(w io.Writer, s Style) error {
	var f Fields
	f.Add("Bottle", fmt.Sprintf("%s, %s, %s g of solution when made", r.Salt, routeInWords(r.Route), Significant(r.SolutionG, 5)))
	for _, st := range r.Stocks {
		text := PlusMinus(st.SaltMgG, Known(st.USaltMgG), "mg/g")
		if st.ID != nil && !strings.HasSuffix(strings.ToLower(st.Name), *st.ID) {
			text += fmt.Sprintf(", on record as %q", *st.ID)
		}
		f.Add("From "+st.Name, text)
	}
	if e := r.Evaporation; e != nil {
		f.Add("As it was made", PlusMinus(e.EC25AsMade, Known(e.UEC25AsMade), "uS/cm at 25 C"))
		f.Add("Evaporated since", fmt.Sprintf("%s of water, %s of the content", PlusMinus(e.LostG, Known(e.ULostG), "g"), PlusMinus(100*e.LostRel, Known(100*e.ULostRel), "%")))
		f.Add("Strength gained", PlusMinus(100*(e.StrengthGain-1), Known(100*e.UGain), "%"))
	}
	f.Add("Conductivity", fmt.Sprintf("%s at 25 C (u %s)", PlusMinus(r.EC25, Known(r.UEC25), "uS/cm"), Percent(r.URel, 2)))
	low, _ := Round(r.Low, Known(r.UEC25))
	high, _ := Round(r.High, Known(r.UEC25))
	f.Add("95 % interval", fmt.Sprintf("%s to %s uS/cm", low, high))
	f.Add("Salt", fmt.Sprintf("%s, %s", PlusMinus(r.MgL, Known(r.UMgL), "mg/L"), PlusMinus(r.Molality, Known(r.UMolality), "mol/kg")))
	f.Add("u, own and shared", fmt.Sprintf("%s uS/cm from this bottle's weighings, %s uS/cm shared with bottles of the same jar, stock and water", Significant(r.UOwn, 2), Significant(r.UShared, 2)))
	if r.ID != nil {
		f.Add("Made", wordOrEmpty(r.MadeOn))
		f.Add("Good until", wordOrEmpty(r.BestBefore))
		f.Add("On record", day(*r.RecordedAt)+" as "+*r.ID)
	}
	if err := f.Write(w, s); err != nil {
		return err
	}
	if err := Heading(w, s, "Where the uncertainty comes from (% of the conductivity)"); err != nil {
		return err
	}
	if err := writeBudgets(w, s, []Column{{Name: "source", Text: true}, {Name: "u", Unit: "%"}}, []List[BudgetShare]{r.Budget}, r.LeftOut); err != nil {
		return err
	}
	return writeList(w, s, "Taken as given", "- ", r.Assumptions)
}

func routeInWords(route string) string {
	if route == string(plan.Direct) {
		return "salt weighed directly"
	}
	return "from a stock"
}
