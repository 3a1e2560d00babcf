package web

import (
	"fmt"
	"net/http"
	"strings"

	"fledge/internal/app"
	"fledge/internal/report"
)

// table is the whole contract of docs/workshop-api.md, one row each.
func (s *Server) table() []route {
	return []route{
		{"GET", "/api/hello", s.hello},
		{"POST", "/api/pair", s.pair},
		{"GET", "/api/events", s.events},
		{"GET", "/api/hangar", s.hangar},
		{"POST", "/api/hangar/example", s.takeExample},
		{"POST", "/api/hangar/new", s.newBuild},
		{"POST", "/api/hangar/kit", s.newKit},
		{"GET", "/api/questions", s.questions},
		{"GET", "/api/kit", s.kit},
		{"GET", "/api/kit/sheet", s.kitSheet},
		{"POST", "/api/kit/answers", s.kitAnswers},
		{"GET", "/api/builds/{file}", s.build},
		{"GET", "/api/builds/{file}/drawing", s.drawing},
		{"GET", "/api/builds/{file}/linkages", s.linkages},
		{"POST", "/api/builds/{file}/preview", s.preview},
		{"POST", "/api/builds/{file}/fan", s.fan},
		{"POST", "/api/builds/{file}/copy", s.copyBuild},
		{"POST", "/api/builds/{file}/edit", s.edit},
		{"PUT", "/api/builds/{file}/text", s.putText},
		{"POST", "/api/builds/{file}/undo", s.turn(false)},
		{"POST", "/api/builds/{file}/redo", s.turn(true)},
		{"POST", "/api/uploads", s.upload},
		{"POST", "/api/columns", s.columns},
		{"POST", "/api/columns/keep", s.keepColumns},
		{"POST", "/api/jobs", s.postJob},
		{"GET", "/api/jobs", s.listJobs},
		{"GET", "/api/jobs/{id}", s.getJob},
		{"DELETE", "/api/jobs/{id}", s.dropJob},
		{"GET", "/api/jobs/{id}/charts/{n}", s.part(true)},
		{"GET", "/api/jobs/{id}/files/{n}", s.part(false)},
		{"GET", "/api/jobs/{id}/files", s.allFiles},
		{"GET", "/api/logbook", s.book(s.overview)},
		{"GET", "/api/logbook/keys", s.book(s.keys)},
		{"GET", "/api/logbook/search", s.book(s.search)},
		{"GET", "/api/logbook/check", s.book(s.checkBook)},
		{"POST", "/api/logbook/import", s.book(s.importBook)},
		{"POST", "/api/logbook/rescue", s.book(s.rescueBook)},
		{"GET", "/api/logbook/{kind}", s.book(s.entries)},
		{"POST", "/api/logbook/{kind}", s.book(s.addEntry)},
		{"GET", "/api/logbook/{kind}/export", s.book(s.export)},
		{"GET", "/api/logbook/{kind}/{number}", s.book(s.entry)},
		{"PATCH", "/api/logbook/{kind}/{number}", s.book(s.amendEntry)},
		{"POST", "/api/logbook/{kind}/{number}/strike", s.book(s.strikeEntry)},
		{"GET", "/api/logbook/{kind}/{number}/export", s.book(s.export)},
		{"GET", "/api/terms", s.terms},
		{"GET", "/api/words", s.words},
		{"GET", "/api/sources", s.sources},
		{"GET", "/api/schema", s.schema},
	}
}

type route struct {
	method, path string
	do           handle
}

// routes makes the mux: what is no route is refused, with the methods that
// would do where the path is one.
func (s *Server) routes() {
	s.mux = http.NewServeMux()
	for _, r := range s.table() {
		s.mux.HandleFunc(r.method+" "+r.path, s.serve(r.do))
	}
	s.mux.HandleFunc("/api/", s.serve(func(w http.ResponseWriter, r *http.Request) error {
		var allow []string
		for _, m := range []string{"GET", "POST", "PUT", "PATCH", "DELETE"} {
			other := r.Clone(r.Context())
			other.Method = m
			if _, pattern := s.mux.Handler(other); pattern != "/api/" && pattern != "" {
				allow = append(allow, m)
			}
		}
		if len(allow) == 0 {
			return refuse(http.StatusNotFound, "no-route", "", "the workshop has no such route")
		}
		w.Header().Set("Allow", strings.Join(allow, ", "))
		return refuse(http.StatusMethodNotAllowed, "method", "use "+strings.Join(allow, " or "), "%s is not for this route", r.Method)
	}))
	s.mux.HandleFunc("/", s.serve(s.asset))
}

func (s *Server) words(w http.ResponseWriter, r *http.Request) error {
	return s.reply(w, http.StatusOK, app.Words())
}

func (s *Server) sources(w http.ResponseWriter, r *http.Request) error {
	return s.reply(w, http.StatusOK, app.Sources().Body)
}

func (s *Server) schema(w http.ResponseWriter, r *http.Request) error {
	text, err := app.Schema().JSON()
	if err != nil {
		return fmt.Errorf("schema: %w", err)
	}
	return s.reply(w, http.StatusOK, text)
}

// Terms is what every term means.
type Terms struct {
	Schema int           `json:"schema"`
	Terms  []report.Term `json:"terms"`
}

func (s *Server) terms(w http.ResponseWriter, r *http.Request) error {
	return s.reply(w, http.StatusOK, Terms{report.Schema, report.Terms()})
}
