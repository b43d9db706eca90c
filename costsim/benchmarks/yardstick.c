/* The balance of an hour once more in C, sixteen scenarios side by side: a yardstick for the compiled kernel, nothing else.
   Built for one plant with -DKIND0=... to -DKIND2=... (1 a collector, 2 a source that is told to run, 3 the same with cycling
   losses, 0 nothing), collectors first; no mass, no fires. */

#define W 16
#define COUNT ((KIND0 > 0) + (KIND1 > 0) + (KIND2 > 0))
#define SUMS 7
#define INLINE static inline __attribute__((always_inline))
#define SUN(kind) ((kind) == 1)

struct own { double slope, cycling, per_fire, standby, share, watts; };

INLINE double higher(double a, double b) { return a > b ? a : b; }
INLINE double lower(double a, double b) { return a < b ? a : b; }

/* What a source gives in the hour, after what is given already. */
INLINE double heat_of(int kind, struct own own, double most, double target, double aid, double given, double call,
                      double idle, double need, double room, double rise, double per_rise, double resistance, double top)
{
    if (kind == 0) return 0.0;
    if (SUN(kind)) {
        const double slope = own.slope, damp = 1.0 + slope * rise, per_damp = 1.0 / damp;
        const double alone = (idle + rise * (given + most - call)) * per_damp;
        const double warmed = idle + rise * (given + aid + most);
        const double below = warmed * per_damp;
        const double both = (resistance * warmed + rise * room) * (1.0 / (resistance * damp + rise));
        const double less = below > room ? both : below;
        const double meets = alone < need ? (warmed - rise * call < need * damp ? less : need) : alone;
        const double sunny = most > 0.0 ? higher(most - slope * meets, 0.0) : 0.0;
        return lower(sunny, higher((top - idle) * per_rise + call - given, 0.0));
    }
    const double goal = lower(top, higher(need, target));
    return lower(higher((goal - idle) * per_rise + call - given, 0.0), most);
}

/* What goes in for that heat. */
INLINE double input_of(int kind, struct own own, double heat, double per_heat)
{
    const double input = heat * per_heat;
    return kind == 3 ? input / (1.0 - own.cycling * (1.0 - lower(heat * own.per_fire, 1.0))) : input;
}

INLINE double auxiliary_of(int kind, struct own own, double heat)
{
    return kind == 0 ? 0.0 : own.share * heat + (heat > 0.0 ? own.watts : 0.0);
}

/* hours: room, degrees; then of each source capacity, target, one over heat per input -- each (n,)
   plant: keep, rise, resistance, top, start, limit, pump, loss_state, loss_net
   source: slope, degradation, one over smallest fire, standby, auxiliary share, auxiliary watts -- (COUNT, 6)
   lanes: loss, shift, then one over the factor on heat per input of each source -- (blocks, 2 + COUNT, W)
   pieces: first hour of each stretch of one month and one price period, and the end; place: its row in energy
   sums: (blocks, SUMS + COUNT, W); energy: (blocks, COUNT + 1, rows, W) */
void years(long n, long blocks, long pieces, long rows, const long *first, const long *place, const double *restrict hours,
           const double *restrict plant, const double *restrict source, const double *restrict lanes, double *restrict sums,
           double *restrict energy)
{
    const double keep = plant[0], rise = plant[1], resistance = plant[2], top = plant[3], limit = plant[5], pump = plant[6];
    const double per_rise = 1.0 / rise, per_both = 1.0 / (resistance + rise);
    const double per_resistance = resistance > 0.0 ? 1.0 / resistance : 0.0;
    const int kinds[3] = {KIND0, KIND1, KIND2};
    /* all of it read before the lanes, since a load under a condition would have to be masked */
    const struct own *owns = (const struct own *)source, own0 = owns[0], own1 = owns[COUNT > 1 ? 1 : 0], own2 = owns[COUNT > 2 ? 2 : 0];
    for (long b = 0; b < blocks; b++) {
        const double *loss = lanes + b * (2 + COUNT) * W, *shift = loss + W;
        double tank[W], wanted[W], given_j[W], unmet_j[W], short_h[W], worst[W], running[W], lowest[W], season[3][W];
        double used[4][W];
        for (int l = 0; l < W; l++) {
            tank[l] = plant[4];
            wanted[l] = given_j[l] = unmet_j[l] = short_h[l] = worst[l] = running[l] = 0.0;
            lowest[l] = 1e3;
            for (int i = 0; i < 3; i++) season[i][l] = 0.0;
        }
        for (long r = 0; r < (COUNT + 1) * rows * W; r++) energy[b * (COUNT + 1) * rows * W + r] = 0.0;
        for (long s = 0; s < pieces; s++) {
            for (int i = 0; i < 4; i++)
                for (int l = 0; l < W; l++) used[i][l] = 0.0;
            for (long t = first[s]; t < first[s + 1]; t++) {
                const double room = hours[t], degrees = hours[n + t];
                double aid = 0.0;
                for (int i = 0; i < COUNT; i++) aid += kinds[i] == 1 ? 0.0 : hours[(2 + 3 * i) * n + t];
                const double *h0 = hours + 2 * n + t, *h1 = h0 + (COUNT > 1 ? 3 * n : 0), *h2 = h1 + (COUNT > 2 ? 3 * n : 0);
                const double most0 = h0[0], target0 = h0[n], per0 = h0[2 * n], most1 = h1[0], target1 = h1[n], per1 = h1[2 * n];
                const double most2 = h2[0], target2 = h2[n], per2 = h2[2 * n];
#pragma GCC ivdep
                for (int l = 0; l < W; l++) {
                    const double full = loss[l] * higher(degrees + shift[l], 0.0), asked = lower(full, limit);
                    const double space = top - room, most_call = higher(space, 0.0) * per_resistance;
                    const double call = asked * resistance > space ? most_call : asked;
                    const double idle = room + keep * (tank[l] - room), need = room + call * resistance;
#define HEAT(i, given) heat_of(KIND##i, own##i, most##i, target##i, aid, given, call, idle, need, room, rise, per_rise, resistance, top)
                    const double heat0 = HEAT(0, 0.0), heat1 = HEAT(1, heat0), heat2 = HEAT(2, heat0 + heat1);
                    const double given = heat0 + heat1 + heat2;
                    const double flow = higher((idle - room + rise * given) * per_both, 0.0);
                    const double delivered = lower(call, flow), missing = full - delivered;
                    tank[l] = idle + rise * (given - delivered);
                    wanted[l] += full;
                    given_j[l] += delivered;
                    lowest[l] = lower(lowest[l], room);
                    unmet_j[l] += missing > 0.5 ? missing : 0.0;
                    short_h[l] += missing > 0.5 ? 1.0 : 0.0;
                    worst[l] = higher(worst[l], missing > 0.5 ? missing : 0.0);
                    running[l] += delivered > 0.0 ? 1.0 : 0.0;
                    season[0][l] += heat0;
                    season[1][l] += heat1;
                    season[2][l] += heat2;
                    used[0][l] += input_of(KIND0, own0, heat0, per0);
                    used[1][l] += input_of(KIND1, own1, heat1, per1);
                    used[2][l] += input_of(KIND2, own2, heat2, per2);
                    used[3][l] += (delivered > 0.0 ? pump : 0.0) + auxiliary_of(KIND0, own0, heat0)
                                  + auxiliary_of(KIND1, own1, heat1) + auxiliary_of(KIND2, own2, heat2);
                }
            }
            const double length = (double)(first[s + 1] - first[s]);
            for (int i = 0; i <= COUNT; i++) {
                double *row = energy + ((b * (COUNT + 1) + i) * rows + place[s]) * W;
                const double standby = i < COUNT ? owns[i].standby * length : 0.0;
                for (int l = 0; l < W; l++)
                    row[l] += (used[i < COUNT ? i : 3][l] * (i < COUNT ? loss[(2 + i) * W + l] : 1.0) + standby) * 3600.0;
            }
        }
        double *out = sums + b * (SUMS + COUNT) * W;
        for (int l = 0; l < W; l++) {
            out[l] = wanted[l] * 3600.0;
            out[W + l] = given_j[l] * 3600.0;
            out[2 * W + l] = unmet_j[l] * 3600.0;
            out[3 * W + l] = short_h[l];
            out[4 * W + l] = worst[l];
            out[5 * W + l] = running[l];
            out[6 * W + l] = lowest[l];
            for (int i = 0; i < COUNT; i++) out[(SUMS + i) * W + l] = season[i][l] * 3600.0;
        }
    }
}
