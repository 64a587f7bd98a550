/* wrench.c - one instant of a turn as the bond feels it, for jobs and programs alike. */
#include "tackhold/advice.h"

th_wrench th_wrench_under(const th_stance *at, const th_sample *sample, double ratio) {
    double c = at->cosine, s = at->sine;
    double vertical = sample->fz > 0 ? ratio : at->pressing;
    double fx = ratio * (c * sample->fx - s * sample->fy);
    double fy = ratio * (s * sample->fx + c * sample->fy);
    double fz = vertical * sample->fz;
    double px = ratio * (c * sample->px - s * sample->py) + at->z * fx;
    double py = ratio * (s * sample->px + c * sample->py) + at->z * fy;
    double qx = vertical * (c * sample->qx - s * sample->qy) + at->x * fz;
    double qy = vertical * (s * sample->qx + c * sample->qy) + at->y * fz;

    return (th_wrench){fx, fy, fz, qy - py, px - qx, at->x * fy - at->y * fx + ratio * sample->mz};
}

void th_wrench_lean(int stops, const th_bonded *bonded, th_wrench *wrench) {
    if ((wrench->fx < 0 && (stops & TH_STOP_LEFT)) || (wrench->fx > 0 && (stops & TH_STOP_RIGHT))) {
        wrench->mz += bonded->cy * wrench->fx;
        wrench->fx = 0;
    }
    if ((wrench->fy < 0 && (stops & TH_STOP_FRONT)) || (wrench->fy > 0 && (stops & TH_STOP_BACK))) {
        wrench->mz -= bonded->cx * wrench->fy;
        wrench->fy = 0;
    }
}
