package web

import (
	"fledge/internal/app"
	"fledge/internal/report"
)

// Wire is a value of every body that goes over the wire, for the page's types:
// cmd/docs writes ui/src/api.ts from them.
func Wire() []any {
	return []any{
		Refusal{}, Hello{}, Pairing{}, Hangar{}, NameRequest{}, FileReply{}, Questions{}, NewRequest{}, CopyRequest{}, KitSteps{}, KitRequest{}, KitMade{},
		BuildView{}, app.Drawing{}, PreviewRequest{}, Preview{}, FanRequest{}, app.Fan{}, app.Linkages{},
		EditRequest{}, TextRequest{}, BaseRequest{}, Edited{},
		JobRequest{}, Job{}, JobList{}, Upload{}, TryJSON{}, report.CheckJSON{},
		HelloEvent{}, BuildEvent{}, WarmEvent{}, LogbookEvent{},
		ColumnsRequest{}, app.ColumnsView{}, app.WordsView{}, KeepColumnsRequest{}, LogbookReply{}, EntryRequest{}, ArgsRequest{}, WhyRequest{}, ImportRequest{}, Terms{},
	}
}
