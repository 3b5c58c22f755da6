"""Colour: conversion, difference, palettes, sampling, correction and mixing of paint."""
