package logbook

import (
	"bytes"
	"encoding/json"
	"fmt"
	"sort"
	"strings"

	"github.com/brinemark/brinemark/calib/quantity"
)

// complete checks that the line of a row has every key that the row itself is
// written with, and a value there: a figure that is missing or null would be
// taken for 0, and a text for none. What export leaves out where it is empty
// may be missing, or null.
func complete(r Record, text []byte) error {
	canonical, err := line(r)
	if err != nil || bytes.Equal(canonical, text) {
		return err
	}
	return compareKeys(canonical, text, "")
}

// compareKeys looks for the keys of one JSON value in another. path is where the
// values stand, "" for the line itself.
func compareKeys(canonical, text json.RawMessage, path string) error {
	switch canonical[0] {
	case '{':
		var want, found map[string]json.RawMessage
		if err := unmarshalBoth(canonical, text, &want, &found); err != nil {
			return err
		}
		folded := map[string]json.RawMessage{}
		for key, value := range found {
			folded[strings.ToLower(key)] = value
		}
		var keys []string
		for key := range want {
			keys = append(keys, key)
		}
		sort.Strings(keys)
		for _, key := range keys {
			if isNull(want[key]) {
				continue
			}
			value, ok := folded[strings.ToLower(key)]
			if !ok || isNull(value) {
				return fmt.Errorf("found nothing under the key %s; want a value, as export writes it", quantity.Quoted(path+key))
			}
			if key == "result" || key == "made" { // kept as they are
				continue
			}
			if err := compareKeys(want[key], value, path+key+"."); err != nil {
				return err
			}
		}
	case '[':
		var want, found []json.RawMessage
		if err := unmarshalBoth(canonical, text, &want, &found); err != nil {
			return err
		}
		for i := range min(len(want), len(found)) {
			if err := compareKeys(want[i], found[i], fmt.Sprintf("%s%d.", path, i+1)); err != nil {
				return err
			}
		}
	}
	return nil
}

func unmarshalBoth(canonical, text json.RawMessage, want, found any) error {
	if err := json.Unmarshal(canonical, want); err != nil {
		return plainJSON(err)
	}
	if err := json.Unmarshal(text, found); err != nil {
		return plainJSON(err)
	}
	return nil
}

func isNull(value json.RawMessage) bool { return string(bytes.TrimSpace(value)) == "null" }
