// Why: the mean of a few replicates is as sure as Student's t says.
// Use: double half = student_t_quantile(0.975, n - 1) * deviation / std::sqrt(n);
#pragma once

namespace brookmark::core {

// Probability of at most t with `degrees` >= 1 of freedom: the finite series of Abramowitz & Stegun 1964, Handbook of
// Mathematical Functions, 26.7.3 and 26.7.4. Absolute error below 1e-12 for up to 1000 degrees.
double student_t_probability(double t, int degrees);

// The t that is not exceeded with this probability, 0 < probability < 1; by bisection, relative error below 1e-9.
double student_t_quantile(double probability, int degrees);

}  // namespace brookmark::core
