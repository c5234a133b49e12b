package logbook

import (
	"database/sql"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/spelling"
)

// Scope says which versions a list holds.
type Scope bool

// The scopes.
const (
	Current Scope = false // what has not been superseded
	All     Scope = true  // every row there is
)

// where is the condition of a scope, for rows of a kind.
func (s Scope) where(k Kind) string {
	if s == All {
		return "1"
	}
	return fmt.Sprintf("NOT EXISTS (SELECT 1 FROM %s AS later WHERE later.supersedes = %s.id)", k, k)
}

// load reads rows of one kind into their type.
func load[T any, P interface {
	*T
	Record
}](b *Book, where string, args ...any) ([]T, error) {
	return loadOnly[T, P](b, whole, where, args...)
}

// loadOnly is load with a say in how much of the readings is read.
func loadOnly[T any, P interface {
	*T
	Record
}](b *Book, e extent, where string, args ...any) ([]T, error) {
	var out []T
	err := b.read(func(tx *sql.Tx) error {
		list, err := selectRows(tx, func() Record { return P(new(T)) }, e, where, args...)
		for _, s := range list {
			if s.fault != nil {
				return damaged(s.fault)
			}
			out = append(out, *s.Record.(P))
		}
		return err
	})
	return out, err
}

// Meters lists the meters by name, retired ones included.
func (b *Book) Meters(s Scope) ([]Meter, error) {
	return load[Meter](b, "WHERE "+s.where(KindMeter)+" ORDER BY meter, seq")
}

// Meter returns the current version of a meter; upper and lower case of a to z
// are the same. Where there is none the error wraps [ErrNotFound] and names the
// nearest.
func (b *Book) Meter(name string) (Meter, error) {
	list, err := load[Meter](b, "WHERE meter = ? AND "+Current.where(KindMeter), name)
	if err != nil || len(list) > 0 {
		return first(list), err
	}
	return Meter{}, b.notFound(KindMeter, name)
}

// MeterVersions lists the versions of a meter, the first one first. Errors as
// for [Book.Meter].
func (b *Book) MeterVersions(name string) ([]Meter, error) {
	list, err := load[Meter](b, "WHERE meter = ?", name)
	if err == nil && len(list) == 0 {
		err = b.notFound(KindMeter, name)
	}
	slices.SortFunc(list, func(x, y Meter) int { return versionNumber(x.ID) - versionNumber(y.ID) })
	return list, err
}

// Bottles lists the bottles by name.
func (b *Book) Bottles(s Scope) ([]Bottle, error) {
	return load[Bottle](b, "WHERE "+s.where(KindBottle)+" ORDER BY bottle, seq")
}

// BottleVersions lists the versions of a bottle, the first one first. They are
// in the order of their chain, not in that of saving, which an import from
// another machine may have mixed. Errors as for [Book.Meter].
func (b *Book) BottleVersions(name string) ([]Bottle, error) {
	list, err := load[Bottle](b, "WHERE bottle = ?", name)
	if err == nil && len(list) == 0 {
		err = b.notFound(KindBottle, name)
	}
	slices.SortFunc(list, func(x, y Bottle) int { return versionNumber(x.ID) - versionNumber(y.ID) })
	return list, err
}

// Bottle returns the version of a bottle that holds at a time; the zero time
// asks for the current one. Errors as for [Book.Meter].
func (b *Book) Bottle(name string, at time.Time) (Bottle, error) {
	list, err := b.BottleVersions(name)
	if err != nil {
		return Bottle{}, err
	}
	return Holding(list, at), nil
}

// Holding is the one of a bottle's versions, the first one first, that holds at
// a time; the zero time asks for the last.
func Holding(versions []Bottle, at time.Time) Bottle {
	for _, version := range slices.Backward(versions) {
		if at.IsZero() || !version.Since.After(at) {
			return version
		}
	}
	return first(versions)
}

// Calibrations lists the calibrations of a meter with their readings, by time;
// those of all meters for an empty name. One that was saved twice ([Calibration.Twin])
// is listed once, unless all rows are asked for.
func (b *Book) Calibrations(meter string, s Scope) ([]Calibration, error) {
	list, err := load[Calibration](b, ofMeter+s.where(KindCalibration)+" ORDER BY time, seq", meter)
	return once(s, list), err
}

// Twins lists the calibrations that hold and are twins of one, itself included
// where it holds.
func (b *Book) Twins(of Calibration) ([]Calibration, error) {
	list, err := load[Calibration](b, ofMeter+Current.where(KindCalibration)+" ORDER BY time, seq", of.Meter)
	return slices.DeleteFunc(list, func(c Calibration) bool { return !c.Twin(of) }), err
}

// History lists the calibrations of a meter as [Book.Calibrations] does, but for
// the named sources of the references ([Reading.RefParts], which is nil): they
// are most of a long record, and a list of what was found does not need them.
func (b *Book) History(meter string, s Scope) ([]Calibration, error) {
	list, err := loadOnly[Calibration](b, noParts, ofMeter+s.where(KindCalibration)+" ORDER BY time, seq", meter)
	return once(s, list), err
}

// LastCalibrations lists the latest calibration of each meter that has one.
func (b *Book) LastCalibrations() ([]Calibration, error) {
	return load[Calibration](b, `WHERE seq IN (SELECT seq FROM (
		SELECT seq, row_number() OVER (PARTITION BY meter ORDER BY time DESC, seq DESC) AS place
		FROM calibration WHERE `+Current.where(KindCalibration)+`) WHERE place = 1) ORDER BY meter`)
}

// CalibrationsWith lists the calibrations with a reading of a bottle, in any
// version of it, by time.
func (b *Book) CalibrationsWith(bottle string, s Scope) ([]Calibration, error) {
	list, err := load[Calibration](b, `WHERE seq IN (SELECT calibration FROM reading WHERE bottle_id IN (SELECT id FROM bottle WHERE bottle = ?)) AND `+
		s.where(KindCalibration)+" ORDER BY time, seq", bottle)
	return once(s, list), err
}

// Calibration returns the calibration with an identity.
func (b *Book) Calibration(id string) (Calibration, error) {
	list, err := load[Calibration](b, "WHERE id = ?", id)
	if err == nil && len(list) == 0 {
		err = &failure{text: fmt.Sprintf("calibration %s is not on record", quantity.Quoted(id)), cause: ErrNotFound}
	}
	return first(list), err
}

// Event returns the event with an identity.
func (b *Book) Event(id string) (Event, error) {
	list, err := load[Event](b, "WHERE id = ?", id)
	if err == nil && len(list) == 0 {
		err = &failure{text: fmt.Sprintf("event %s is not on record", quantity.Quoted(id)), cause: ErrNotFound}
	}
	return first(list), err
}

// Events lists the events of a meter by time; those of all meters for an empty
// name.
func (b *Book) Events(meter string, s Scope) ([]Event, error) {
	return load[Event](b, ofMeter+s.where(KindEvent)+" ORDER BY time, seq", meter)
}

const ofMeter = "WHERE (?1 = '' OR meter = ?1) AND "

// Comparison returns the comparison with an identity.
func (b *Book) Comparison(id string) (Comparison, error) {
	list, err := load[Comparison](b, "WHERE id = ?", id)
	if err == nil && len(list) == 0 {
		err = &failure{text: fmt.Sprintf("comparison %s is not on record", quantity.Quoted(id)), cause: ErrNotFound}
	}
	return first(list), err
}

// ComparisonsOf lists the comparisons with a reading of a meter on record, by
// time, with all of their readings.
func (b *Book) ComparisonsOf(meter string, s Scope) ([]Comparison, error) {
	return load[Comparison](b, `WHERE seq IN (SELECT comparison FROM compared WHERE meter_id = ?) AND `+
		s.where(KindComparison)+" ORDER BY time, seq", meter)
}

// LastSaved is the latest time of saving on record, by the clocks of the
// machines that saved; the zero time for an empty record.
func (b *Book) LastSaved() (time.Time, error) {
	var latest time.Time
	err := b.read(func(tx *sql.Tx) error {
		for _, k := range kinds {
			var at time.Time
			var text sql.NullString
			if err := tx.QueryRow(fmt.Sprintf("SELECT max(recorded_at) FROM %s", k.kind)).Scan(&text); err != nil {
				return err
			}
			if !text.Valid {
				continue
			}
			if err := (moment{&at}).Scan(text.String); err != nil {
				return err
			}
			if at.After(latest) {
				latest = at
			}
		}
		return nil
	})
	return latest, err
}

// damaged is about a row that is not what was saved.
func damaged(fault error) error {
	return &failure{text: fmt.Sprintf("%v: %v; \"logbook check\" tells how far", ErrDamaged, fault), cause: ErrDamaged, from: fault}
}

func first[T any](list []T) T {
	var zero T
	if len(list) == 0 {
		return zero
	}
	return list[0]
}

// Names lists the names of the meters, of the bottles, or the identities of another
// kind, without those of later versions.
func (b *Book) Names(k Kind) (names []string, err error) {
	if kindOf(k) == nil {
		return nil, fmt.Errorf("there is no kind of record %s", quantity.Quoted(string(k)))
	}
	err = b.read(func(tx *sql.Tx) error {
		rows, err := tx.Query(fmt.Sprintf("SELECT id FROM %s WHERE supersedes IS NULL ORDER BY id", k))
		if err != nil {
			return err
		}
		defer rows.Close()
		for rows.Next() {
			var id string
			if err := rows.Scan(&id); err != nil {
				return err
			}
			names = append(names, id)
		}
		return rows.Err()
	})
	return names, err
}

// notFound names the nearest of what is there.
func (b *Book) notFound(k Kind, name string) error {
	names, err := b.Names(k)
	if err != nil {
		return err
	}
	text := fmt.Sprintf("%s %s is not on record", k, quantity.Quoted(name))
	const few = 12
	switch near, ok := spelling.Nearest(name, names); {
	case ok:
		text += "; the nearest is " + near
	case len(names) == 0:
		text += fmt.Sprintf("; there is no %s yet", k)
	case len(names) <= few:
		text += "; there are " + strings.Join(names, ", ")
	}
	return &failure{text: text, cause: ErrNotFound}
}
