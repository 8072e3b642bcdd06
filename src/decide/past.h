/* Tasks that have ended at a time that nobody reported (WR_NOW_PAST): on every simulated day they get minutes with
 * which what was reported comes true.
 *
 * How. A reported moment says when a task began or ended, and so how long the tasks of unknown time before it took
 * together. On each day these are made longer or shorter together, most those that are long and uncertain, until the
 * moment is met; how they share the time otherwise is the day's own luck. Exact by weights: their scores are moved
 * along one direction u, and their law along it is normal with precision A = sum of u^2, so the day weighs with that
 * density at the push, over the rise of the moment with it. The law of the whole stretch given the pace of the day has
 * been counted already (wr_now_condition), and is divided out. Where other tasks decide the moment, those of unknown
 * time only have to be done by then: the shift is drawn from the same law cut off there. Where others may have decided
 * it, a lead-in before (own_wait of the state), the law is weighed by the density of the lead-in that is left, and
 * nothing was counted before. Where work may have been dropped before the moment (open_rule of the state) the moment
 * may have come in two ways: with it, or without it on a slower day. Each has its own push, density and rise; the day
 * weighs as much as both, and goes one of them by their weights. */
#pragma once

#include "days.h"

/* Replaces the minutes of those tasks in days made from the scenarios, fixes them, and weighs the days. */
void wr_past_condition(struct wr_days *days, const struct wr_scenarios *scenarios);
