package session

import (
	"context"

	"pilewright/plan"
)

// mostFurther is how often going on doubles the search: sixteen times at most.
const mostFurther = 4

// Replan goes on planning the present state where a Stop or the end of the search
// left off: with twice the effort of before once a search came to its end. What is
// shown stays until something better is found.
func (s *Session) Replan() {
	if !s.Stale() {
		s.keep = s.shown
		if !s.stopped {
			s.further = min(s.further+1, mostFurther)
		}
	}
	s.replan()
}

// goingOn is the tools with the search for cuts as far as the maker has asked.
func (s *Session) goingOn() plan.Tools {
	tools := s.tools
	if further, cut := s.further, tools.Cut; further > 0 && cut != nil {
		tools.Cut = func(ctx context.Context, job plan.CutJob, better func(plan.Cuts)) (plan.Cuts, error) {
			job.Further = further
			return cut(ctx, job, better)
		}
	}
	return tools
}

// keeps reports whether what is shown stays in place of p: after going on, a plan
// that is no better would only move the boards about.
func (s *Session) keeps(p *plan.Plan, last bool) bool {
	if s.keep == nil || p == nil || s.shown != s.keep {
		return false
	}
	switch c := order(p.Cuts, s.keep.Cuts); {
	case c < 0:
		s.keep = nil // from here on every plan of this run is better
		return false
	case last && c == 0:
		return false // the proof may be tighter
	}
	return true
}

// order compares two plans' cuts: what is missing, then the aims by weight. It is
// below nought when a is better.
func order(a, b plan.Cuts) int {
	missing := func(c plan.Cuts) (n int) {
		for _, x := range c.Short {
			n += x.Count
		}
		return n
	}
	if d := missing(a) - missing(b); d != 0 {
		return d
	}
	for k := range min(len(a.Levels), len(b.Levels)) {
		if a.Levels[k].Kind != b.Levels[k].Kind {
			break
		}
		if c := a.Levels[k].Value.Cmp(b.Levels[k].Value); c != 0 {
			return c
		}
	}
	return 0
}

// WhatIf plans a changed state in the background without storing the change; done
// is called on the session's goroutine with the plan, or with the reason there is
// none. It is not called where stop is called or the session is closed before.
func (s *Session) WhatIf(edit func(*plan.Project) (*plan.Project, error), done func(*plan.Plan, error)) (stop func()) {
	ctx, cancel := context.WithCancel(context.Background())
	stopped := false
	project, err := edit(s.project)
	if err != nil {
		cancel()
		done(nil, err)
		return func() {}
	}
	if s.whatIf != nil {
		s.whatIf()
	}
	stop = func() { stopped = true; cancel() }
	s.whatIf = stop
	tools := s.tools
	s.workers.Add(1)
	go func() {
		defer s.workers.Done()
		defer cancel()
		p, err := plan.Make(ctx, project, tools, nil)
		p = s.said(p)
		s.post(func() {
			if !stopped {
				done(p, err)
			}
		})
	}()
	return stop
}
