package series

// Summary is what was done to a log.
type Summary struct {
	Rows      int64
	Backwards int64 // rows whose time lies before one above
	Columns   []ColumnSummary
}

// ColumnSummary is what was done to a column of a log.
type ColumnSummary struct {
	Flagged [len(flagWords)]int64
}
