package main

// The help of the program and of a command, as templates of the cli library.
// They name the flags that every command takes, which the library's own leave out.
const appHelp = `{{.Usage}}

  {{.HelpName}} COMMAND [--flag value ...] [FILE ...]

{{.Description}}
{{if .VisibleCommands}}
Commands{{range .VisibleCommands}}
  {{join .Names ", "}}{{"\t"}}{{.Usage}}{{end}}
{{end}}
Flags of every command, before or after its name{{range .VisibleFlags}}
  {{.}}{{end}}

Exit status: 0 done; 1 could not be done; 2 bad usage or bad input; 3 with
--check, done but the verdict is not pass (or agree).
`

const commandHelp = `{{.HelpName}}: {{.Usage}}

  {{if .UsageText}}{{wrap .UsageText 2}}{{else}}{{.HelpName}} [--flag value ...]{{if .ArgsUsage}} {{.ArgsUsage}}{{end}}{{end}}
{{if .Description}}
{{.Description}}
{{end}}{{if .VisibleFlags}}
Flags{{range .VisibleFlags}}
  {{.}}{{end}}
{{end}}
Flags of every command: --json, --check, --no-color, --time-zone ZONE,
--logbook FILE; brinemark --help tells more.
`
