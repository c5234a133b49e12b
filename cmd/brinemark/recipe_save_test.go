package main

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/shelf"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
	"github.com/brinemark/brinemark/solutions/plan"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// benchWords are salt, scale and water of the tests below.
var benchWords = []string{"--salt", "NaCl", "--grade", "food", "--purity", "99.5%", "--u-purity", "0.3%",
	"--scale-step", "0.01g", "--u-scale", "0.01g", "--water-ec", "8uS/cm", "--u-water-ec", "2uS/cm"}

// made is "recipe made" of the bench above, with more words.
func made(more ...string) []string {
	return append(append([]string{"recipe", "made"}, benchWords...), more...)
}

// fromStock takes a mass of the stock of 5.02 g in 145.1 g.
func fromStock(mass, save string, more ...string) []string {
	return made(append([]string{"--stock-salt-mass", "5.02g", "--stock-water-mass", "145.1g", "--stock-mass", mass, "--water-mass", "495g", "--save", save}, more...)...)
}

// bottles reads the current bottles of the record, by name.
func (s *session) bottles() map[string]logbook.Bottle {
	s.t.Helper()
	book, err := logbook.Open(s.file, logbook.Options{Now: now, ReadOnly: true})
	require.NoError(s.t, err)
	defer book.Close()
	list, err := book.Bottles(logbook.Current)
	require.NoError(s.t, err)
	out := map[string]logbook.Bottle{}
	for _, b := range list {
		out[b.Name] = b
	}
	return out
}

// worth is what a bottle truly has at 25 C.
func worth(t *testing.T, b logbook.Bottle) uncert.Value {
	t.Helper()
	v, err := shelf.True(b, uncert.Exact(25))
	require.NoError(t, err)
	return v
}

func TestABottleThatWasMadeIsKept(t *testing.T) {
	s := newSession(t)
	s.ok("meter", "add", "pen", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "0.5")
	s.ok(fromStock("4.53g", "A", "--stock", "stock 1", "--made-mass", "552.3g", "--empty-mass", "52.8g", "--u-bottle-mass", "0.05g", "--note", "blue cap")...)
	s.ok("bottle", "show", "A", "--meter", "pen", "--temp", "18C", "--u-temp", "0.2C")
	atNoon(t, "2026-04-01T12:00:00Z")
	s.ok("bottle", "weigh", "A", "--mass", "547.3g")
	s.golden("record/made.txt")

	second := newSession(t)
	got := second.json(fromStock("4.53g", "A")...)
	assert.Equal(t, "A", got["id"])
	assert.Equal(t, "2026-03-01", got["made_on"])
	assert.Equal(t, "2026-05-30", got["best_before"], "90 days, common practice")
	shown := second.json("bottle", "show", "A")
	assert.InEpsilon(t, got["ec25_uS_cm"], shown["ec25_uS_cm"], 1e-12)
	assert.InEpsilon(t, got["u_ec25_uS_cm"], shown["u_ec25_uS_cm"], 1e-9)
	plain := invoke(append(fromStock("4.53g", "A")[:len(fromStock("4.53g", "A"))-2], "--json")...)
	require.Equal(t, statusDone, plain.status, plain.stderr)
	assert.Contains(t, plain.stdout, `"id": null`, "not kept")
}

// On a meter the bottle is what reference says of its strength and water.
func TestAKeptBottleAgreesWithReference(t *testing.T) {
	s := newSession(t)
	s.ok("meter", "add", "pen", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "0.64", "--alpha", "1.9%", "--ref-temp", "20C")
	got := s.json(fromStock("13.6g", "A")...)
	shown := s.json("bottle", "show", "A", "--meter", "pen", "--temp", "18C")
	molality := got["molality_mol_kg"].(float64)
	reference := s.json("reference", "--salt", "NaCl", "--strength", with(molality, "mol/kg"), "--temp", "18C",
		"--water-ec", "8uS/cm", "--u-water-ec", "2uS/cm", "--ppm-factor", "0.64", "--alpha", "1.9%", "--ref-temp", "20C")
	assert.InEpsilon(t, reference["value"], shown["value"], 1e-12)
	assert.InEpsilon(t, reference["display"], shown["display"], 1e-12)
	assert.InEpsilon(t, reference["ec25_uS_cm"], got["ec25_uS_cm"], 1e-12)
}

// asPlanned is the bottle that the planner makes of the masses, without any
// record.
func asPlanned(t *testing.T, name string, stockG float64) plan.Made {
	t.Helper()
	known := func(x float64) *float64 { return &x }
	var b plan.Bench
	var err error
	b.Jar, err = plan.NewJar(solutions.NaCl, plan.JarSpec{Grade: plan.GradeFood, Purity: known(0.995), UPurity: known(0.003)})
	require.NoError(t, err)
	b.Scale, err = plan.NewScale(plan.ScaleSpec{StepG: known(0.01), UG: known(0.01)})
	require.NoError(t, err)
	b.Water, err = plan.NewWater(plan.WaterSpec{EC25: known(8), UEC25: known(2)})
	require.NoError(t, err)
	m, err := plan.AsMade(plan.MadeRequest{Bench: b, Name: name,
		Stocks: []plan.Weighed{{SaltG: []float64{5.02}, WaterG: []float64{145.1}}},
		Bottle: plan.Weighed{StockG: []float64{stockG}, WaterG: []float64{495}}})
	require.NoError(t, err)
	return m
}

// Bottles of one stock are related as the planner says, also after an export
// and an import, whichever day they were made; of what is another thing on
// another day they share nothing.
func TestBottlesShareWhatTheyTrulyShare(t *testing.T) {
	s := newSession(t)
	s.ok(fromStock("4.53g", "A", "--stock", "S", "--water", "can")...)
	s.ok(fromStock("13.6g", "B", "--stock", "s", "--water", "Can")...)
	atNoon(t, "2026-03-08T12:00:00Z")
	s.ok(fromStock("13.6g", "C", "--stock", "S", "--water", "can", "--made", "2026-03-08")...) // of this stock and can, a week later
	s.ok(fromStock("13.6g", "D", "--stock", "S", "--made", "2026-03-08")...)                   // with the water of that day
	s.ok(fromStock("13.6g", "E", "--stock", "T", "--made", "2026-03-08")...)                   // a stock that happens to weigh the same
	atNoon(t, "2026-03-01T12:00:00Z")
	s.ok(made("--salt-mass", "3.1g", "--water-mass", "495g", "--save", "F", "--jar", "new jar", "--water", "sink")...)
	export := filepath.Join(filepath.Dir(s.file), "export.jsonl")
	require.NoError(t, os.WriteFile(export, []byte(s.ok("logbook", "export")), 0o600))
	other := &session{t: t, file: filepath.Join(t.TempDir(), "logbook.db")}
	other.ok("logbook", "import", export)
	got := other.bottles()
	require.Equal(t, 6, len(got))
	a, b, c, d, e := worth(t, got["A"]), worth(t, got["B"]), worth(t, got["C"]), worth(t, got["D"]), worth(t, got["E"])

	weak, strong := asPlanned(t, "A", 4.53), asPlanned(t, "B", 13.6)
	assert.InEpsilon(t, weak.Now.EC25.U(), a.U(), 1e-9)
	assert.InEpsilon(t, strong.Now.EC25.U(), b.U(), 1e-9)
	want := uncert.Corr(weak.Now.EC25, strong.Now.EC25)
	assert.InDelta(t, want, uncert.Corr(a, b), 1e-9)
	assert.InDelta(t, want, uncert.Corr(a, c), 1e-9, "another day, the same things")
	// By hand from the parts of the planner's values: without the water, and
	// then without the stock's weighings and the salt's moisture.
	part := func(ids ...string) (sum float64) {
		for _, id := range ids {
			x, y := weak.Now.EC25.Part(id), strong.Now.EC25.Part(id)
			require.NotZero(t, x*y, id)
			sum += x * y
		}
		return sum
	}
	water := part("water-ec:water", "water-ions:water")
	assert.InEpsilon(t, uncert.Cov(weak.Now.EC25, strong.Now.EC25)-water, uncert.Cov(a, d), 1e-4, "the water is another")
	stock := part("weighing:stock:stock A/salt", "weighing:stock:stock A/water", "moisture:NaCl")
	assert.InEpsilon(t, uncert.Cov(weak.Now.EC25, strong.Now.EC25)-water-stock, uncert.Cov(a, e), 1e-4, "the stock is another, the jar is not")
	_, shared := strong.Split()
	for _, id := range []string{"weighing:stock:stock A/salt", "weighing:stock:stock A/water", "moisture:NaCl"} {
		shared = math.Sqrt(shared*shared - math.Pow(strong.Now.EC25.Part(id), 2))
	}
	assert.InEpsilon(t, shared*shared, uncert.Cov(d, e), 1e-4, "two stocks of one day, jar and water")
	assert.Less(t, uncert.Corr(b, c), 1.0, "each has weighings of its own")
	model := a.Part("model:NaCl") * worth(t, got["F"]).Part("model:NaCl")
	assert.InEpsilon(t, model, uncert.Cov(a, worth(t, got["F"])), 0.01, "another jar and water: the model, and the air")
}

// Names that are not given are told by what was said: the same words of the
// same day are the same things, and nothing else is.
func TestThingsWithoutNames(t *testing.T) {
	s := newSession(t)
	s.ok(fromStock("4.53g", "A")...)
	s.ok(fromStock("13.6g", "B")...)
	s.ok(made("--stock-salt-mass", "5.03g", "--stock-water-mass", "145.1g", "--stock-mass", "13.6g", "--water-mass", "495g", "--save", "C")...)
	r := s.run(fromStock("13.6g", "D", "--made", "2026-03-02")...)
	require.Equal(t, statusDone, r.status, r.stderr)
	assert.Contains(t, r.stderr, `bottle A was made from a stock of the same masses, "5.02g in 145.1g of 2026-03-01"; where that is this stock, save this bottle again with --correct --stock "5.02g in 145.1g of 2026-03-01"`)
	got := s.bottles()
	a, b, c, d := worth(t, got["A"]), worth(t, got["B"]), worth(t, got["C"]), worth(t, got["D"])
	const salt = "weighing:stock:5.02g in 145.1g of 2026-03-01/salt"
	for name, v := range map[string]uncert.Value{"A": a, "B": b} {
		assert.NotZero(t, v.Part(salt), name)
	}
	for name, v := range map[string]uncert.Value{"C": c, "D": d} {
		assert.Zero(t, v.Part(salt), name)
		assert.NotZero(t, v.Part("purity:NaCl food 0.995+-0.003"), name)
	}
	weak, strong := asPlanned(t, "A", 4.53), asPlanned(t, "B", 13.6)
	assert.InDelta(t, uncert.Corr(weak.Now.EC25, strong.Now.EC25), uncert.Corr(a, b), 1e-9)

	// What the warning says mends it.
	s.ok(fromStock("13.6g", "D", "--made", "2026-03-02", "--correct", "--stock", "5.02g in 145.1g of 2026-03-01")...)
	assert.NotZero(t, worth(t, s.bottles()["D"]).Part(salt))
	// The name of a bottle is not that of a stock, nor does one begin another.
	s.ok(fromStock("13.6g", "S", "--stock", "S")...)
	own, shared := asPlanned(t, "S", 13.6).Split()
	kept := s.json("recipe", "made", "--salt", "NaCl", "--grade", "food", "--purity", "99.5%", "--u-purity", "0.3%", "--u-scale", "0.01g", "--water-ec", "8uS/cm", "--u-water-ec", "2uS/cm",
		"--stock-salt-mass", "5.02g", "--stock-water-mass", "145.1g", "--stock-mass", "13.6g", "--water-mass", "495g", "--save", "S2", "--stock", "S")
	assert.InEpsilon(t, own, kept["u_own_uS_cm"], 1e-9)
	assert.InEpsilon(t, shared, kept["u_shared_uS_cm"], 1e-9)
}

// A bottle made from the second of two stocks, and one made with a jug.
func TestSecondStocksAndJugsHaveIdentities(t *testing.T) {
	s := newSession(t)
	second := func(save string, more ...string) []string {
		return made(append([]string{"--stock-salt-mass", "5g", "--stock-water-mass", "145g", "--second-stock-mass", "20g", "--second-water-mass", "100g",
			"--stock-mass", "30g", "--water-mass", "400g", "--save", save}, more...)...)
	}
	s.ok(second("A")...)
	s.ok(second("B", "--stock", "one", "--second-stock", "two")...)
	s.ok(made("--salt-mass", "3g", "--water-volume", "250mL", "--water-volume", "250mL", "--jug", "250mL", "--save", "J")...)
	got := s.bottles()
	for _, id := range []string{"weighing:stock:5g in 145g of 2026-03-01/salt", "weighing:stock:second 20g in 100g of 2026-03-01/stock"} {
		assert.NotZero(t, worth(t, got["A"]).Part(id), id)
	}
	for _, id := range []string{"weighing:stock:one/salt", "weighing:stock:second two/stock", "weighing:bottle:b of 2026-03-01/water"} {
		assert.NotZero(t, worth(t, got["B"]).Part(id), id)
	}
	for _, id := range []string{"jug:jug 250mL", "filling:bottle:j of 2026-03-01/water", "gain:scale 0.01", "moisture:NaCl food 0.995+-0.003/2026-03-01"} {
		assert.NotZero(t, worth(t, got["J"]).Part(id), id)
	}
}

// A bottle that was weighed again before it was kept has two versions, in one
// save; the next loss counts from the second weighing.
func TestABottleKeptAfterItEvaporated(t *testing.T) {
	s := newSession(t)
	got := s.json(fromStock("13.6g", "A", "--made", "2026-02-01", "--made-mass", "562g", "--now-mass", "552g", "--u-bottle-mass", "0.5g")...)
	assert.Equal(t, "A/2", got["id"])
	shown := s.json("bottle", "show", "A", "--all")
	assert.InEpsilon(t, got["ec25_uS_cm"], shown["ec25_uS_cm"], 1e-12)
	assert.InEpsilon(t, got["u_ec25_uS_cm"], shown["u_ec25_uS_cm"], 1e-9)
	versions := shown["versions"].([]any)
	require.Len(t, versions, 2)
	fresh := versions[0].(map[string]any)
	assert.InEpsilon(t, got["evaporation"].(map[string]any)["ec25_as_made_uS_cm"], fresh["ec25_uS_cm"], 1e-12)
	assert.Equal(t, 562.0, fresh["full_g"])
	assert.Equal(t, 552.0, shown["full_g"])
	assert.Equal(t, "2026-03-01T12:00:00Z", shown["since"])

	atNoon(t, "2026-04-01T12:00:00Z")
	again := s.json("bottle", "weigh", "A", "--mass", "552g")
	loss := again["evaporation"].(map[string]any)
	assert.Zero(t, loss["lost_g"], "counted from the second weighing")
	b := s.bottles()["A"]
	assert.NotZero(t, worth(t, b).Part("weighing:bottle:a of 2026-02-01/full bottle when made"))
	assert.InDelta(t, 0, worth(t, b).Part("weighing:bottle:a of 2026-02-01/full bottle now"), 1e-4, "of some 1800 uS/cm: the weighing between drops out")
	s.ok("logbook", "check")
}

// A bottle made anew under an old name leaves the readings of before alone.
func TestABottleMadeAnew(t *testing.T) {
	s := newSession(t)
	s.ok(fromStock("4.53g", "A")...)
	old := worth(t, s.bottles()["A"])
	atNoon(t, "2026-05-01T12:00:00Z")
	r := s.run(fromStock("13.6g", "a", "--stock", "new")...)
	assert.Equal(t, statusBadInput, r.status)
	assert.Contains(t, r.stderr, "bottle a is on record already; a bottle made anew has a new name, and --correct takes the place of what is on record")
	r = s.run(fromStock("13.6g", "a", "--stock", "new", "--correct")...)
	require.Equal(t, statusDone, r.status, r.stderr)
	assert.Contains(t, r.stderr, `bottle A is taken as made anew today; on record it was made on "2026-03-01"`)
	book, err := logbook.Open(s.file, logbook.Options{Now: now, ReadOnly: true})
	require.NoError(t, err)
	defer book.Close()
	before, err := book.Bottle("A", now().AddDate(0, 0, -1))
	require.NoError(t, err)
	assert.Equal(t, "A", before.ID)
	after, err := book.Bottle("A", now())
	require.NoError(t, err)
	assert.Equal(t, "A/2", after.ID)
	assert.Zero(t, worth(t, after).Part("weighing:bottle:a of 2026-03-01/water"), "weighed anew")
	assert.NotZero(t, old.Part("weighing:bottle:a of 2026-03-01/water"))

	// A correction of the same bottle keeps its day, and so its weighings.
	s.ok(fromStock("13.7g", "A", "--stock", "new", "--correct", "--made", "2026-05-01")...)
	fixed, err := book.Bottle("A", now())
	require.NoError(t, err)
	assert.Equal(t, "A/3", fixed.ID)
	assert.NotZero(t, worth(t, fixed).Part("weighing:bottle:a of 2026-05-01/water"))
}

func TestSavingABottleRefuses(t *testing.T) {
	s := newSession(t)
	s.ok(fromStock("4.53g", "A", "--stock", "S")...)
	before := s.ok("logbook", "export")
	direct := func(more ...string) []string {
		return made(append([]string{"--salt-mass", "3g", "--water-mass", "497g"}, more...)...)
	}
	for _, c := range []struct {
		args []string
		text string
	}{
		{direct("--stock", "S", "--save", "B"), "--stock names what the bottle was made from, and needs its masses: --stock-salt-mass"},
		{direct("--jar", "J"), "--jar is about a bottle that is kept; it needs --save NAME"},
		{direct("--made", "2026-03-01"), "--made is about a bottle that is kept"},
		{direct("--save", ""), `bottle: "" cannot be a name; want 1 to 64 characters`},
		{direct("--save", "B", "--jar", ""), "--jar: found nothing; want a name"},
		{direct("--save", "../B"), "a name without '/'"},
		{direct("--save", "B", "--water", "a\u202eb"), "water: "},
		{direct("--save", "B", "--made", "1.2.2026"), "want one such as 2026-03-01"},
		{direct("--save", "B", "--best-before", "2025-01-01"), "best_before"},
		{direct("--save", "B", "--now-mass", "500g"), "need --made-mass"},
		{direct("--save", "B", "--made-mass", "400g"), "less than the 500"},
		{direct("--save", "B", "--made-mass", "552g", "--empty-mass", "152g"), "the masses contradict one another"},
		{direct("--save", "B", "--made-mass", "552g", "--now-mass", "0g"), "weighed 0 g; want the mass of the full closed bottle"},
		{direct("--save", "B", "--correct"), `bottle "B" is not on record; there are A`},
		{made("--stock-salt-mass", "5.1g", "--stock-water-mass", "145.1g", "--stock-mass", "4.53g", "--water-mass", "495g", "--save", "B", "--stock", "s"),
			`stock "s" is on record, in bottle A, as 150.27 g`},
	} {
		r := s.run(c.args...)
		assert.Equal(t, statusBadInput, r.status, "%v: %s", c.args, r.stderr)
		assert.Empty(t, r.stdout, "%v", c.args)
		assert.Contains(t, r.stderr, c.text, "%v", c.args)
		assert.Equal(t, 1, strings.Count(r.stderr, "\n"), "one line: %s", r.stderr)
	}
	assert.Equal(t, before, s.ok("logbook", "export"))
}
