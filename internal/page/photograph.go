package page

import (
	"mime"
	"net/http"
	"strings"
)

// photograph sends a recorded photograph as it came.
func (s *Server) photograph(w http.ResponseWriter, r *http.Request) {
	kept, err := s.workshop.Store.Photo(r.Context(), r.PathValue("sha256"))
	if err != nil {
		view(func(*http.Request) (answer, error) { return answer{}, err }).ServeHTTP(w, r)
		return
	}
	kind := "application/octet-stream"
	if known := kindOf(kept.Bytes); known != "" {
		kind = "image/" + strings.ToLower(known)
	}
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Disposition", mime.FormatMediaType("inline", map[string]string{"filename": plainName(kept.Name, "photograph")}))
	w.Write(kept.Bytes)
}
