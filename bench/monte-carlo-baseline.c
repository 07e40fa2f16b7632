/* The benchmark's 20-quantity chain in C: the same generator, the same normals by inverse
   distribution function and the same passes of 512 trials. Prints one line of JSON: nanoseconds
   of processor time per trial, mean and standard deviation. */
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#define PASS 512
#define INPUTS 20

static double u[INPUTS][PASS], out[PASS];

static void block(uint32_t c[4])
{
    uint32_t c0 = c[0], c1 = c[1], c2 = c[2], c3 = c[3], k0 = 1, k1 = 0;
    for (int round = 0; round < 10; round++) {
        uint64_t p0 = (uint64_t)c0 * 0xD2511F53u, p1 = (uint64_t)c2 * 0xCD9E8D57u;
        uint32_t n0 = (uint32_t)(p1 >> 32) ^ c1 ^ k0, n2 = (uint32_t)(p0 >> 32) ^ c3 ^ k1;
        c1 = (uint32_t)p1;
        c3 = (uint32_t)p0;
        c0 = n0;
        c2 = n2;
        k0 += 0x9E3779B9u;
        k1 += 0xBB67AE85u;
    }
    c[0] = c0;
    c[1] = c1;
    c[2] = c2;
    c[3] = c3;
}

static double fine(uint32_t high, uint32_t low)
{
    return ((double)(int32_t)(high >> 6) * 67108864.0 + (double)(int32_t)(low >> 6) + 0.5) * 0x1p-52;
}

/* Two numbers of 53 bits from a block for the normals, four of 32 bits for all others. */
static void uniforms(double *to, uint32_t first, uint32_t identifier, int is_fine)
{
    int per_block = is_fine ? 2 : 4;
    for (int i = 0; i < PASS / per_block; i++) {
        uint32_t c[4] = {first / (uint32_t)per_block + (uint32_t)i, 0, identifier, 0};
        block(c);
        if (is_fine) {
            to[2 * i] = fine(c[0], c[1]);
            to[2 * i + 1] = fine(c[2], c[3]);
        } else {
            for (int k = 0; k < 4; k++)
                to[4 * i + k] = ((double)c[k] + 0.5) * 0x1p-32;
        }
    }
}

static double ratio(const double *a, const double *b, double x)
{
    double p = a[7], q = b[7];
    for (int i = 6; i >= 0; i--) {
        p = p * x + a[i];
        q = q * x + b[i];
    }
    return p / q;
}

static const double CT[8] = {3.3871328727963665, 133.14166789178438, 1971.5909503065513, 13731.693765509461, 45921.95393154987, 67265.7709270087, 33430.57558358813, 2509.0809287301227};
static const double CB[8] = {1, 42.31333070160091, 687.1870074920579, 5394.196021424751, 21213.794301586597, 39307.89580009271, 28729.085735721943, 5226.495278852546};
static const double NT[8] = {1.4234371107496835, 4.630337846156546, 5.769497221460691, 3.6478483247632045, 1.2704582524523684, 0.2417807251774506, 0.022723844989269184, 7.745450142783414e-4};
static const double NB[8] = {1, 2.053191626637759, 1.6763848301838038, 0.6897673349851, 0.14810397642748008, 0.015198666563616457, 5.475938084995345e-4, 1.0507500716444169e-9};
static const double FT[8] = {6.657904643501103, 5.463784911164114, 1.7848265399172913, 0.2965605718285049, 0.026532189526576124, 0.0012426609473880784, 2.7115555687434876e-5, 2.0103343992922881e-7};
static const double FB[8] = {1, 0.599832206555888, 0.1369298809227358, 0.014875361290850615, 7.868691311456133e-4, 1.8463183175100548e-5, 1.421511758316446e-7, 2.0442631033899397e-15};

static double normal(double p)
{
    double offset = p - 0.5;
    if (fabs(offset) <= 0.425)
        return offset * ratio(CT, CB, 0.180625 - offset * offset);
    double root = sqrt(-log(offset < 0 ? p : 1 - p));
    double size = root <= 5 ? ratio(NT, NB, root - 1.6) : ratio(FT, FB, root - 5);
    return offset < 0 ? -size : size;
}

static double rectangular(double half, double p) { return half * (2 * p - 1); }

static double triangular(double p)
{
    return p <= 0.5 ? sqrt(2 * p) - 1 : 1 - sqrt(2 * (1 - p));
}

static void pass(void)
{
    for (int i = 0; i < PASS; i++) {
        double r[12];
        for (int k = 0; k < 12; k++)
            r[k] = rectangular(0.001, u[k][i]);
        double s0 = rectangular(1, u[12][i]), s1 = rectangular(1, u[13][i]);
        double n0 = normal(u[14][i]), n1 = normal(u[15][i]), n2 = normal(u[16][i]), n3 = normal(u[17][i]);
        double t0 = triangular(u[18][i]), t1 = triangular(u[19][i]);
        double top = 34 * exp(-r[0] * (1 + r[1])) * (1 + r[2]) * (1 + r[3]);
        double node = top / (1 + 100 * (1 + r[4] + 1e-5 * t0) / (1 + r[5] + 1e-5 * t1)) + 1e-4 * n0 + 1e-5 * s0;
        double code = floor(node / (0.001 * (1 + r[6]) * (1 + r[7])) + 0.1 * n1 + 0.5);
        out[i] = code * 0.001 * 101 / (1 + r[8]) + 1e-3 * n2 + r[9] + r[10] * 0.1 + 1e-4 * n3 + r[11] * s1;
    }
}

int main(int argc, char **argv)
{
    long passes = (argc > 1 ? atol(argv[1]) : 1000000) / PASS;
    double total = 0, squares = 0;
    clock_t start = clock();
    for (long k = 0; k < passes; k++) {
        for (int input = 0; input < INPUTS; input++)
            uniforms(u[input], (uint32_t)(k * PASS), 0x9E3779B9u * (uint32_t)(input + 1), input >= 14 && input < 18);
        pass();
        for (int i = 0; i < PASS; i++) {
            total += out[i];
            squares += out[i] * out[i];
        }
    }
    double count = (double)passes * PASS, mean = total / count;
    double elapsed = (double)(clock() - start) / CLOCKS_PER_SEC;
    printf("{\"nanoseconds\": %.3f, \"mean\": %.9g, \"deviation\": %.9g}\n", elapsed / count * 1e9, mean, sqrt(squares / count - mean * mean));
    return 0;
}
