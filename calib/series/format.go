package series

// Digits are the significant digits of a corrected value and of its
// uncertainty.
const (
	ValueDigits       = 10
	UncertaintyDigits = 4
)

// write puts the rows of a block into its out, each unchanged with what was
// found behind it.
func (r *rowReader) write(b *block) {
	out, at := b.out[:0], 0
	separator := r.form.Separator
	for i, row := range b.rows {
		out = append(out, b.text[at:row.end]...)
		if b.times[i] != noTime {
			for k := range b.columns {
				c := &b.columns[k][i]
				out = append(out, separator)
				if c.flag.Valued() {
					out = appendNumber(out, c.value, ValueDigits, r.comma)
					out = append(out, separator)
					out = appendNumber(out, c.u, UncertaintyDigits, r.comma)
				} else {
					out = append(out, separator)
				}
				out = append(out, separator)
				out = append(out, c.flag.String()...)
			}
		}
		out = append(out, b.text[row.end:row.next]...)
		at = int(row.next)
	}
	b.out = out
}
