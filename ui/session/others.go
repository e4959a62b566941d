package session

import (
	"context"
	"fmt"
	"time"

	"pilewright/plan"
)

// othersTime is how long one piece that is not open is planned at most: its first
// plan is there at once, better cuts change its figures little.
const othersTime = 2 * time.Second

// PlanOthers plans pieces that are not open, one after the other in the background,
// from the file as it stands. each is called on the session's goroutine with every
// plan, nil with an error where there is none; done at the end. Where stop is called,
// another run begins or the session is closed, neither is called any more.
func (s *Session) PlanOthers(ids []ID, each func(ID, *plan.Plan, error), done func()) (stop func()) {
	if s.others != nil {
		s.others()
	}
	ctx, cancel := context.WithCancel(context.Background())
	stopped := false // on the session's goroutine
	stop = func() { stopped = true; cancel() }
	s.others = stop
	file, tools := s.file, s.tools
	s.workers.Add(1)
	go func() {
		defer s.workers.Done()
		defer cancel()
		for _, id := range ids {
			if ctx.Err() != nil {
				break
			}
			p, err := file.Load(id)
			if err == nil && !p.PieceIsThere() {
				err = fmt.Errorf("the piece with number %d is not in this shop file", id)
			}
			var made *plan.Plan
			if err == nil {
				one, end := context.WithTimeout(ctx, othersTime)
				made, err = plan.Make(one, p, tools, nil)
				end()
			}
			if err == nil && !made.Drawable() {
				made, err = nil, fmt.Errorf("%s", made.Failure())
			}
			if ctx.Err() != nil {
				break
			}
			s.post(func() {
				if !stopped {
					each(id, made, err)
				}
			})
		}
		s.post(func() {
			if !stopped {
				done()
			}
		})
	}()
	return stop
}
